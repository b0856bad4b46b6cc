//! The tables of the `us` rule set (NFPA 70, edition 2023, and what it leans on).
