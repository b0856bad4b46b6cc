//! Models of rows, and how they are brought up to date with as few redrawn rows as possible.

use std::rc::Rc;

use slint::{Model as _, ModelRc, VecModel};

/// A model over rows that do not change.
pub(crate) fn fixed<T: Clone + 'static>(rows: impl IntoIterator<Item = T>) -> ModelRc<T> {
    ModelRc::from(Rc::new(rows.into_iter().collect::<VecModel<T>>()))
}

/// Makes a model hold these rows; rows that are the same stay untouched on the screen.
pub(crate) fn sync<T: Clone + PartialEq + 'static>(model: &VecModel<T>, rows: Vec<T>) {
    let common = model.row_count().min(rows.len());
    for (at, row) in rows.iter().take(common).enumerate() {
        if model.row_data(at).as_ref() != Some(row) {
            model.set_row_data(at, row.clone());
        }
    }
    while model.row_count() > rows.len() {
        model.remove(model.row_count() - 1);
    }
    model.extend(rows.into_iter().skip(common));
}

/// Characters of the longest answer.
pub(crate) fn longest(picks: &[crate::generated::Pick]) -> i32 {
    picks.iter().map(|pick| row_number(pick.text.chars().count())).max().unwrap_or_default()
}

/// An index as the window counts.
pub(crate) fn row_number(index: usize) -> i32 {
    i32::try_from(index).unwrap_or(i32::MAX)
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_model_follows_its_rows() {
        let model = VecModel::from(vec![1, 2, 3]);
        for rows in [vec![1, 5], vec![], vec![7, 8, 9, 10]] {
            sync(&model, rows.clone());
            assert_eq!(model.iter().collect::<Vec<_>>(), rows);
        }
    }
}
