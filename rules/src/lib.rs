//! Survey model, tables, calculations, checks and findings.
