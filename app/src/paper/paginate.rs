//! Shares strips out to pages: nothing cut, no heading last, no page with one line.

use std::ops::Range;

use super::strips::{Strip, Tie, stacked_height, stacked_lines};
use super::units::Pt;

/// The strips of one page.
#[derive(Debug, Clone, PartialEq)]
pub(super) struct PageShare {
    pub(super) strips: Range<usize>,
    /// The document asked for a new page here.
    pub(super) forced: bool,
}

/// Fewest lines on a page.
const FEWEST_LINES: usize = 2;
/// A page filled less than this is too empty to be left for the sake of a group.
const SCANTY: f64 = 0.4;
/// Rounding that a full page may be over.
const SLACK: Pt = Pt(0.01);

/// Shares strips out to pages with this much height each.
pub(super) fn paginate(strips: &mut [Strip], height: Pt) -> Vec<PageShare> {
    move_breaks_before_headings(strips);
    let mut sharer = Sharer { strips, height, pages: Vec::new(), open: 0..0, forced: false };
    sharer.place(0..strips.len(), None);
    sharer.close();
    let mut pages = sharer.pages;
    fill_thin_pages(strips, height, &mut pages);
    pages
}

/// A page break directly after a heading goes before it, so that the heading stays with its text.
fn move_breaks_before_headings(strips: &mut [Strip]) {
    for index in (1..strips.len()).rev() {
        let tied = strips.get(index - 1).is_some_and(|strip| strip.tie >= Tie::Hard);
        let breaks = strips.get(index).is_some_and(|strip| strip.break_before);
        if !(tied && breaks) {
            continue;
        }
        if let Some(strip) = strips.get_mut(index) {
            strip.break_before = false;
        }
        if let Some(strip) = strips.get_mut(index - 1) {
            strip.break_before = true;
        }
    }
}

struct Sharer<'a> {
    strips: &'a [Strip],
    height: Pt,
    pages: Vec<PageShare>,
    open: Range<usize>,
    forced: bool,
}

impl Sharer<'_> {
    /// Places strips that are tied at least as strongly as `tie`; none are all strips.
    fn place(&mut self, range: Range<usize>, tie: Option<Tie>) {
        if tie.is_none() {
            return self.place_parts(range, Tie::Loose);
        }
        self.begin_forced(range.start);
        if self.fits(self.open.start..range.end) {
            self.open.end = range.end;
        } else if !self.open.is_empty() && self.may_be_left(tie) && self.fits(range.clone()) {
            self.close();
            self.open = range;
        } else {
            self.divide(range, tie);
        }
    }

    fn divide(&mut self, range: Range<usize>, tie: Option<Tie>) {
        match tie {
            Some(Tie::Loose) => self.place_parts(range, Tie::Group),
            Some(Tie::Group) => self.place_parts(range, Tie::Hard),
            _ if self.fits(range.clone()) && !self.open.is_empty() => {
                self.close();
                self.open = range;
            }
            Some(Tie::Hard) => self.place_parts(range, Tie::Heading),
            _ => range.for_each(|index| self.place_alone(index)),
        }
    }

    fn place_alone(&mut self, index: usize) {
        if !self.fits(self.open.start..index + 1) {
            self.close();
        }
        self.open.end = index + 1;
    }

    fn place_parts(&mut self, range: Range<usize>, tie: Tie) {
        let mut start = range.start;
        for index in range.clone() {
            let held = self.strips.get(index).is_some_and(|strip| strip.tie >= tie);
            let breaks = self.strips.get(index + 1).is_some_and(|strip| strip.break_before);
            if !held || breaks || index + 1 == range.end {
                self.place(start..index + 1, Some(tie));
                start = index + 1;
            }
        }
    }

    fn begin_forced(&mut self, start: usize) {
        let breaks = self.strips.get(start).is_some_and(|strip| strip.break_before);
        if breaks && !self.open.is_empty() {
            self.close();
            self.forced = true;
        }
    }

    fn fits(&self, range: Range<usize>) -> bool {
        fits(self.strips, range, self.height)
    }

    /// Whether the open page has too few lines to be left like this.
    fn is_thin(&self) -> bool {
        let strips = self.strips.get(self.open.clone()).unwrap_or_default();
        stacked_lines(strips) < FEWEST_LINES
    }

    /// Whether the open page may end here for the sake of strips that are tied like this.
    fn may_be_left(&self, tie: Option<Tie>) -> bool {
        let parted = tie.is_some_and(|tie| tie <= Tie::Group) && self.is_scanty();
        !parted && !self.is_thin()
    }

    /// Whether most of the open page would stay empty. A group is parted rather than that.
    fn is_scanty(&self) -> bool {
        let strips = self.strips.get(self.open.clone()).unwrap_or_default();
        stacked_height(strips) < self.height * SCANTY
    }

    fn close(&mut self) {
        if !self.open.is_empty() {
            self.pages.push(PageShare { strips: self.open.clone(), forced: self.forced });
            self.forced = false;
        }
        self.open = self.open.end..self.open.end;
    }
}

fn fits(strips: &[Strip], range: Range<usize>, height: Pt) -> bool {
    stacked_height(strips.get(range).unwrap_or_default()) <= height + SLACK
}

/// Gives a page that has one line more strips from the page before. A page that is one drawing can
/// spare nothing; then the line stays alone.
fn fill_thin_pages(strips: &[Strip], height: Pt, pages: &mut [PageShare]) {
    for index in (1..pages.len()).rev() {
        let (Some(before), Some(page)) = (pages.get(index - 1), pages.get(index)) else {
            continue;
        };
        if page.forced || lines(strips, page.strips.clone()) >= FEWEST_LINES {
            continue;
        }
        let whole = before.strips.start..page.strips.end;
        let old = page.strips.start;
        let Some(cut) = better_cut(strips, height, &whole, old) else {
            continue;
        };
        if let Some(before) = pages.get_mut(index - 1) {
            before.strips.end = cut;
        }
        if let Some(page) = pages.get_mut(index) {
            page.strips.start = cut;
        }
    }
}

fn better_cut(strips: &[Strip], height: Pt, whole: &Range<usize>, old: usize) -> Option<usize> {
    let good = |cut: &usize, tie: Tie| {
        let free = strips.get(cut - 1).is_some_and(|strip| strip.tie <= tie);
        free && lines(strips, *cut..whole.end) >= FEWEST_LINES
            && lines(strips, whole.start..*cut) >= FEWEST_LINES
            && fits(strips, *cut..whole.end, height)
    };
    let cuts = || (whole.start + 1..old).rev();
    [Tie::Free, Tie::Loose, Tie::Group].into_iter().find_map(|tie| cuts().find(|cut| good(cut, tie)))
}

fn lines(strips: &[Strip], range: Range<usize>) -> usize {
    stacked_lines(strips.get(range).unwrap_or_default())
}

#[cfg(test)]
mod tests {
    use super::*;

    fn strip(tie: Tie) -> Strip {
        Strip { height: Pt(10.0), tie, lines: 1, ..Strip::default() }
    }

    fn shares(strips: &mut [Strip], height: f64) -> Vec<Range<usize>> {
        let pages = paginate(strips, Pt(height));
        pages.into_iter().map(|page| page.strips).collect()
    }

    #[test]
    fn free_strips_fill_the_page() {
        let mut strips = vec![strip(Tie::Free); 6];
        assert_eq!(shares(&mut strips, 30.0), [0..3, 3..6]);
    }

    #[test]
    fn a_tied_strip_goes_over_with_the_next() {
        let mut strips = vec![strip(Tie::Free); 6];
        strips[2].tie = Tie::Hard;
        assert_eq!(shares(&mut strips, 30.0), [0..2, 2..4, 4..6]);
    }

    #[test]
    fn a_last_page_with_one_line_takes_one_from_the_page_before() {
        let mut strips = vec![strip(Tie::Free); 5];
        assert_eq!(shares(&mut strips, 40.0), [0..3, 3..5]);
    }

    #[test]
    fn a_group_higher_than_a_page_is_parted_and_loses_nothing() {
        let mut strips = vec![strip(Tie::Group); 9];
        assert_eq!(shares(&mut strips, 40.0), [0..4, 4..7, 7..9]);
    }

    /// A drawing and its table that one page cannot hold: the page ends between them, and each stays whole.
    #[test]
    fn groups_told_together_stay_whole_where_they_are_parted() {
        let mut strips = vec![strip(Tie::Free); 6];
        strips.extend(vec![strip(Tie::Group); 13]);
        strips[12].tie = Tie::Loose;
        assert_eq!(shares(&mut strips.clone(), 140.0), [0..6, 6..19]);
        assert_eq!(shares(&mut strips, 110.0), [0..6, 6..13, 13..19]);
    }

    #[test]
    fn a_group_is_parted_rather_than_leave_a_page_mostly_empty() {
        let mut strips = vec![strip(Tie::Free); 3];
        strips.extend(vec![strip(Tie::Group); 10]);
        let shares = shares(&mut strips, 100.0);
        assert_eq!(shares.len(), 2);
        assert_eq!((shares[0].start, shares[1].end), (0, 13));
        assert!(shares[0].end > 7 && shares[0].end == shares[1].start, "{shares:?}");
    }

    #[test]
    fn a_group_goes_over_whole_from_a_page_that_is_half_full() {
        let mut strips = vec![strip(Tie::Free); 5];
        strips.extend(vec![strip(Tie::Group); 8]);
        assert_eq!(shares(&mut strips, 100.0), [0..5, 5..13]);
    }

    #[test]
    fn a_break_after_a_heading_goes_before_it() {
        let mut strips = vec![strip(Tie::Free); 4];
        strips[2].tie = Tie::Hard;
        strips[3].break_before = true;
        assert_eq!(shares(&mut strips, 100.0), [0..2, 2..4]);
    }
}
