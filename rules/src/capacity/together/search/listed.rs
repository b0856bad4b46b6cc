//! Refused sets, turned about so that thousands of them are asked at once.

use super::members;

/// Refused sets, and for each load those that hold it, a bit each.
#[derive(Debug)]
pub(super) struct Listed {
    sets: Vec<u64>,
    holding: Vec<Vec<u64>>,
}

impl Listed {
    /// No set yet, of so many loads.
    pub(super) fn of(loads: usize) -> Self {
        Self { sets: Vec::new(), holding: vec![Vec::new(); loads] }
    }

    pub(super) fn push(&mut self, set: u64) {
        let (word, bit) = (self.sets.len() / 64, self.sets.len() % 64);
        self.sets.push(set);
        for (load, words) in self.holding.iter_mut().enumerate() {
            words.resize(word + 1, 0);
            words[word] |= (set >> load & 1) << bit;
        }
    }

    pub(super) fn into_sets(self) -> Vec<u64> {
        self.sets
    }

    /// Of the loads that are left out of a set, those that some listed set holds as the only one of them: it is
    /// the reason for which that load may not come along.
    pub(super) fn reasons(&self, out: u64) -> u64 {
        let left_out: Vec<(usize, &[u64])> =
            members(out).map(|load| (load, self.holding[load].as_slice())).collect();
        let mut found = 0;
        // Sets come beside sets like them: what was listed last is likely to hold.
        for word in (0..self.sets.len().div_ceil(64)).rev() {
            let (mut once, mut twice) = (0, 0);
            for (_, holding) in &left_out {
                twice |= once & holding[word];
                once |= holding[word];
            }
            let only = once & !twice;
            for (load, holding) in left_out.iter().filter(|_| only != 0) {
                if holding[word] & only != 0 {
                    found |= 1 << load;
                }
            }
            if found == out {
                break;
            }
        }
        found
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    /// Of seventy sets of two loads each: the left-out load whose partner is not left out has its reason.
    #[test]
    fn a_reason_holds_one_of_those_left_out() {
        let mut listed = Listed::of(12);
        for at in 0..70 {
            listed.push(1 << (at % 3) | 1 << (4 + at % 3));
        }
        listed.push(1 << 10 | 1 << 11);
        // 0 and its partner 4 are both out; 1 is out and its partner 5 is not; 10 and 11 are out.
        assert_eq!(listed.reasons(1 << 0 | 1 << 1 | 1 << 4 | 1 << 10 | 1 << 11), 1 << 1);
        assert_eq!(listed.reasons(1 << 11), 1 << 11);
        assert_eq!(listed.reasons(1 << 3), 0);
        assert_eq!(listed.into_sets().len(), 71);
    }
}
