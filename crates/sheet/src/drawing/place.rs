//! Finds room for labels, so that none covers another or a mark.
//!
//! Greedy, in the order of asking: ask for what matters most first. A label stands as near to what
//! it names as there is room; where that is not beside it, a leader line joins them, which keeps clear
//! of labels and marks unless the name would have to be left out.

use super::shape::{Box2, Point};

/// Ways a label may stand off its place, in twenty-fourths of a turn: the tidy ones first.
const WAYS: [u8; 24] = [
    0, 12, 18, 6, 21, 15, 3, 9, 22, 14, 2, 10, 20, 16, 4, 8, 23, 13, 1, 11, 19, 17, 5, 7,
];

/// What a leader may do.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
enum Leaders {
    /// Keep clear of labels and marks.
    Clear,
    /// Pass beneath them: better than a name left out.
    Beneath,
}

/// Distances tried beyond the first, in units.
const STEP: f64 = 7.0;

/// Units. Farther than this from its place a label needs a leader to be understood.
const LEADER_FROM: f64 = 16.0;

/// Units. A line that moves less than this along an axis runs across it: separates rounding from a
/// slope.
const PARALLEL: f64 = 1e-12;

/// Units kept free between two labels.
const GAP: f64 = 3.0;

/// Where a label found room.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Placed {
    /// Its box.
    pub bounds: Box2,
    /// A line from the place to the box, where they are far apart.
    pub leader: Option<[Point; 2]>,
}

/// The room of a picture.
#[derive(Debug, Clone)]
pub struct Placer {
    room: Box2,
    taken: Vec<Box2>,
    leaders: Vec<[Point; 2]>,
}

impl Placer {
    /// Room for labels inside a box.
    pub fn new(room: Box2) -> Self {
        Self {
            room,
            taken: Vec::new(),
            leaders: Vec::new(),
        }
    }

    /// Keeps labels off a box.
    pub fn keep_off(&mut self, bounds: Box2) {
        self.taken.push(bounds);
    }

    /// Whether nothing stands in a box yet.
    pub fn is_free(&self, bounds: &Box2) -> bool {
        !self.taken.iter().any(|taken| taken.overlaps(bounds))
    }

    /// Finds room for a box of a size near one of several places, no farther off than `farthest`.
    /// `clearance` is the radius of the mark at the place. `None` where there is no room.
    pub fn place(
        &mut self,
        size: [f64; 2],
        places: &[Point],
        clearance: f64,
        farthest: f64,
    ) -> Option<Placed> {
        for leaders in [Leaders::Clear, Leaders::Beneath] {
            let mut off = clearance;
            while off <= farthest {
                for &place in places {
                    for way in WAYS {
                        let (sin, cos) = (f64::from(way) * std::f64::consts::TAU / 24.0).sin_cos();
                        let aim = Aim {
                            place,
                            way: [cos, sin],
                            off,
                            clearance,
                        };
                        if let Some(placed) = self.attempt(size, &aim, leaders) {
                            self.taken.push(placed.bounds.grown(GAP));
                            self.leaders.extend(placed.leader);
                            return Some(placed);
                        }
                    }
                }
                off += STEP;
            }
        }
        None
    }

    fn attempt(&self, size: [f64; 2], aim: &Aim, leaders: Leaders) -> Option<Placed> {
        let Aim { place, way, .. } = *aim;
        // The box stands on the side of `way`: wholly beside at 0 and 90 degrees, its corner toward
        // the place between them.
        let lean = |v: f64| v.signum() * v.abs().sqrt();
        let middle = [0, 1].map(|i| place[i] + way[i] * aim.off + lean(way[i]) * size[i] / 2.0);
        let bounds = Box2::about(middle, size);
        if !self.room.contains(&bounds) || !self.is_free(&bounds) {
            return None;
        }
        let strict = leaders == Leaders::Clear;
        if strict && self.leaders.iter().any(|leader| crosses(leader, &bounds)) {
            return None;
        }
        let end = bounds.nearest(place);
        let length = (end[0] - place[0]).hypot(end[1] - place[1]);
        if length - aim.clearance <= LEADER_FROM {
            return Some(Placed {
                bounds,
                leader: None,
            });
        }
        let start = [0, 1].map(|i| place[i] + (end[i] - place[i]) / length * aim.clearance);
        let leader = [start, end];
        // What lies around the place itself (its own mark) may be left.
        let own = |taken: &Box2| taken.overlaps(&Box2::about(place, [1.0, 1.0]));
        let mut others = self.taken.iter().filter(|taken| !own(taken));
        (!strict || !others.any(|taken| crosses(&leader, taken))).then_some(Placed {
            bounds,
            leader: Some(leader),
        })
    }
}

/// One way to put a label.
#[derive(Debug, Clone, Copy)]
struct Aim {
    place: Point,
    /// Unit.
    way: Point,
    off: f64,
    clearance: f64,
}

/// Whether a line enters a box, by clipping it to the box (Liang and Barsky).
fn crosses(line: &[Point; 2], bounds: &Box2) -> bool {
    let (mut low, mut high) = (0.0_f64, 1.0_f64);
    let sides = bounds.min.iter().zip(&bounds.max);
    for ((from, to), (min, max)) in line[0].iter().zip(&line[1]).zip(sides) {
        let along = to - from;
        if along.abs() < PARALLEL {
            if from <= min || from >= max {
                return false;
            }
            continue;
        }
        let (a, b) = ((min - from) / along, (max - from) / along);
        low = low.max(a.min(b));
        high = high.min(a.max(b));
    }
    low < high
}

#[cfg(test)]
mod tests {
    use super::*;

    fn room() -> Box2 {
        Box2 {
            min: [0.0, 0.0],
            max: [400.0, 400.0],
        }
    }

    #[test]
    fn many_labels_at_one_place_do_not_overlap() {
        let mut placer = Placer::new(room());
        let placed: Vec<Placed> = (0..24)
            .map(|_| {
                placer
                    .place([60.0, 14.0], &[[200.0, 200.0]], 6.0, 300.0)
                    .unwrap()
            })
            .collect();
        for (i, one) in placed.iter().enumerate() {
            assert!(room().contains(&one.bounds));
            for other in &placed[..i] {
                assert!(!one.bounds.overlaps(&other.bounds));
            }
        }
        assert!(placed[0].leader.is_none());
        assert!(placed[23].leader.is_some());
    }

    #[test]
    fn a_leader_keeps_clear_of_labels_while_there_is_another_way() {
        let mut placer = Placer::new(room());
        let wall = Box2 {
            min: [215.0, 100.0],
            max: [230.0, 300.0],
        };
        placer.keep_off(wall);
        placer.keep_off(Box2::about([200.0, 200.0], [26.0, 60.0]));
        let far = placer.place([60.0, 14.0], &[[200.0, 200.0]], 40.0, 300.0);
        let leader = far.unwrap().leader;
        assert!(
            leader.is_none_or(|leader| !crosses(&leader, &wall)),
            "{far:?}"
        );
    }

    #[test]
    fn no_room_is_said() {
        let mut placer = Placer::new(room());
        placer.keep_off(room());
        assert_eq!(
            placer.place([10.0, 10.0], &[[200.0, 200.0]], 6.0, 900.0),
            None
        );
    }
}
