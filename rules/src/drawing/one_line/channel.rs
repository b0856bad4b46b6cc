//! How wires run between two layers: straight down where they can, else along a track of their own. No two
//! wires share a stretch; tracks stand in the order with the fewest crossings.

/// Wires nearer than this would look like one [units].
const APART: f32 = 8.0;
/// Below this a wire counts as straight [units].
const STRAIGHT: f32 = 0.5;

/// One wire of a channel: where it comes in and where it leaves.
#[derive(Debug, Clone, Copy)]
pub(super) struct Passage {
    /// Where it starts at the upper side [units].
    pub(super) from: f32,
    /// Where it ends [units].
    pub(super) to: f32,
    /// Whether it ends at the upper side too.
    pub(super) back: bool,
}

/// A stretch along a track.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(super) struct Stretch {
    pub(super) from: f32,
    pub(super) to: f32,
    /// Number of the track, from the top.
    pub(super) track: usize,
}

/// The stretches of every wire, in the order in which it takes them; none for a straight one.
#[derive(Debug, Clone, Default)]
pub(super) struct Channel {
    pub(super) stretches: Vec<Vec<Stretch>>,
    pub(super) tracks: usize,
}

/// A stretch in the making, with the upright pieces at its ends.
#[derive(Debug, Clone, Copy)]
struct Segment {
    passage: usize,
    /// Its place among the stretches of its wire.
    step: usize,
    from: f32,
    to: f32,
    /// Upright pieces that come from above.
    above: [Option<f32>; 2],
    /// The upright piece that goes down.
    below: Option<f32>,
}

impl Segment {
    fn span(&self) -> (f32, f32) {
        (self.from.min(self.to), self.from.max(self.to))
    }

    fn holds(&self, x: f32) -> bool {
        let (left, right) = self.span();
        left < x && x < right
    }

    /// Crossings between the two when this one lies above the other.
    fn crossings_above(&self, other: &Self) -> i32 {
        let own = i32::from(self.below.is_some_and(|x| other.holds(x)));
        own + other.above.iter().flatten().filter(|x| self.holds(**x)).count() as i32
    }

    /// Whether it must lie above the other, lest two upright pieces share a stretch.
    fn must_be_above(&self, other: &Self) -> bool {
        if self.passage == other.passage {
            return self.step < other.step;
        }
        let near = |x: &f32| other.below.is_some_and(|below| (below - x).abs() < APART);
        self.above.iter().flatten().any(near)
    }

    fn is_in_the_way_of(&self, other: &Self) -> bool {
        let ((left, right), (other_left, other_right)) = (self.span(), other.span());
        left - APART < other_right && other_left - APART < right
    }
}

/// Finds the tracks of a channel.
pub(super) fn route(passages: &[Passage]) -> Channel {
    let mut segments = segments(passages);
    let mut order = ordered(&segments);
    // Each turn takes a knot out; there are no more knots than stretches.
    for _ in 0..passages.len() {
        let Err(knot) = order else { break };
        bend(&mut segments, knot, passages);
        order = ordered(&segments);
    }
    let order = order.unwrap_or_else(|_| (0..segments.len()).collect());
    let tracks = tracks(&segments, &order);
    let mut channel = Channel { stretches: vec![Vec::new(); passages.len()], tracks: 0 };
    let mut by_wire: Vec<usize> = (0..segments.len()).collect();
    by_wire.sort_by_key(|at| (segments[*at].passage, segments[*at].step));
    for at in by_wire {
        let Segment { passage, from, to, .. } = segments[at];
        channel.stretches[passage].push(Stretch { from, to, track: tracks[at] });
        channel.tracks = channel.tracks.max(tracks[at] + 1);
    }
    channel
}

fn segments(passages: &[Passage]) -> Vec<Segment> {
    let bent = |passage: &Passage| passage.back || (passage.from - passage.to).abs() > STRAIGHT;
    let numbered = passages.iter().enumerate().filter(|(_, passage)| bent(passage));
    let segment = |(at, passage): (usize, &Passage)| Segment {
        passage: at,
        step: 0,
        from: passage.from,
        to: passage.to,
        above: [Some(passage.from), passage.back.then_some(passage.to)],
        below: (!passage.back).then_some(passage.to),
    };
    numbered.map(segment).collect()
}

/// Segments from top to bottom with few crossings; the number of one that is part of a knot where
/// there is no such order.
fn ordered(segments: &[Segment]) -> Result<Vec<usize>, usize> {
    let count = segments.len();
    // What it costs more to have a segment above another than below it.
    let price = |one: usize, other: usize| {
        let (one, other) = (&segments[one], &segments[other]);
        (one.crossings_above(other) - other.crossings_above(one)).max(0)
    };
    let mut prices = vec![0; count];
    let mut waits = vec![0_usize; count];
    for one in 0..count {
        for other in (0..count).filter(|other| *other != one) {
            prices[one] += price(one, other);
            waits[one] += usize::from(segments[other].must_be_above(&segments[one]));
        }
    }
    let mut left: Vec<usize> = (0..count).collect();
    let mut order = Vec::with_capacity(count);
    while !left.is_empty() {
        let free = left.iter().copied().filter(|at| waits[*at] == 0);
        let Some(next) = free.min_by_key(|at| (prices[*at], *at)) else {
            return Err(left[0]);
        };
        left.retain(|at| *at != next);
        for at in &left {
            prices[*at] -= price(*at, next);
            waits[*at] -= usize::from(segments[next].must_be_above(&segments[*at]));
        }
        order.push(next);
    }
    Ok(order)
}

/// Cuts a segment in two at a free place, so that its ends lie on different tracks.
fn bend(segments: &mut Vec<Segment>, knot: usize, passages: &[Passage]) {
    let old = segments[knot];
    let taken: Vec<f32> = passages
        .iter()
        .flat_map(|passage| [passage.from, passage.to])
        .chain(segments.iter().flat_map(|segment| [segment.from, segment.to]))
        .collect();
    let middle = f32::midpoint(old.from, old.to);
    let free = |x: &f32| taken.iter().all(|other| (other - x).abs() >= APART);
    let tries = (0..=4 * taken.len()).flat_map(|step| {
        let away = step as f32 * APART;
        [middle + away, middle - away]
    });
    let x = tries.into_iter().find(free).unwrap_or(middle);
    for segment in segments.iter_mut() {
        if segment.passage == old.passage && segment.step > old.step {
            segment.step += 1;
        }
    }
    segments[knot] = Segment { to: x, below: Some(x), above: [old.above[0], None], ..old };
    let above = [Some(x), old.above[1]];
    segments.push(Segment { from: x, above, step: old.step + 1, ..old });
}

/// The highest track for each segment that keeps the order among those in each other's way.
fn tracks(segments: &[Segment], order: &[usize]) -> Vec<usize> {
    let mut tracks = vec![0; segments.len()];
    for (place, at) in order.iter().enumerate() {
        let segment = &segments[*at];
        let before = order[..place].iter().filter(|other| {
            let other = &segments[**other];
            other.is_in_the_way_of(segment) || other.must_be_above(segment)
        });
        tracks[*at] = before.map(|other| tracks[*other] + 1).max().unwrap_or(0);
    }
    tracks
}

#[cfg(test)]
mod tests {
    use super::*;

    fn passage(from: f32, to: f32) -> Passage {
        Passage { from, to, back: false }
    }

    #[test]
    fn a_straight_wire_needs_no_track() {
        let channel = route(&[passage(10.0, 10.0), passage(50.0, 50.2)]);
        assert_eq!((channel.tracks, channel.stretches[0].len()), (0, 0));
    }

    /// Both go right; the right one must turn first, else it would cut the left one.
    #[test]
    fn parallel_wires_do_not_cross() {
        let channel = route(&[passage(0.0, 100.0), passage(50.0, 150.0)]);
        assert_eq!(channel.stretches[1][0].track, 0);
        assert_eq!(channel.stretches[0][0].track, 1);
    }

    #[test]
    fn wires_that_do_not_meet_share_a_track() {
        let channel = route(&[passage(0.0, 40.0), passage(100.0, 140.0)]);
        assert_eq!(channel.tracks, 1);
    }

    /// Each ends where the other starts: without a bend they would lie on each other.
    #[test]
    fn a_knot_is_taken_out_by_a_bend() {
        let channel = route(&[passage(0.0, 100.0), passage(100.0, 0.0)]);
        let bends: usize = channel.stretches.iter().map(Vec::len).sum();
        assert_eq!(bends, 3);
    }

    #[test]
    fn a_wire_back_to_its_box_turns_round() {
        let channel = route(&[Passage { from: 0.0, to: 60.0, back: true }, passage(30.0, 30.0)]);
        assert_eq!(channel.stretches[0], [Stretch { from: 0.0, to: 60.0, track: 0 }]);
    }
}
