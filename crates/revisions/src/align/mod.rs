//! Lays the base onto the present: what did not change decides, and what is simplest wins.
//!
//! In this order: nothing moves; a move (boxes face to face or centre to centre, centres of mass); one of the 24 turns
//! between axes; any turn (principal axes, pairs of large flat faces). The first that makes the parts the same is
//! taken. Where none does, a more complex one must lay clearly more of the surface on, so that a symmetric part is
//! not given an odd turn, and a part with a changed end is not moved by half of it; and a turn must lay most of it on.
//!
//! Scores are counted on few samples, saturated and so robust: a changed region weighs no more than its area.

mod guesses;
mod steps;

use mesh::MassProperties;
use mesh::vector::Vec3;

use crate::area::spread;
use crate::change::Body;
use crate::deviation::all_within;
use crate::rigid::Rigid;

/// Samples of each surface.
const SAMPLES: usize = 600;

/// A move must lay so much more of the surface on than none; a turn so much more than a move.
const MARGIN_MOVE: f64 = 0.03;
const MARGIN_TURN: f64 = 0.08;

/// Where less of the surface lies on than this, turns are tried on a part that changed.
const LOST: f64 = 0.6;

/// Where so much of the surface lies on as it is, only a part of the same volume, to this share of it, can be one that
/// was turned: a symmetric part that only lies another way.
const SURE: f64 = 0.9;
const SAME_VOLUME: f64 = 1e-4;

/// A turn is only looked at closely where it lays at least this share on of what lies on without one: steps improve a
/// good guess, and make none of a bad one.
const HOPE: f64 = 0.6;

/// The score of parts that are the same, but for samples between vertices.
const ALL: f64 = 0.99;

/// Guesses that are looked at closely, of each kind.
const LEADERS: usize = 4;

/// How close counts, in multiples of the distance that is the same: one share of the score each.
const LEVELS: [f64; 4] = [1.0, 5.0, 25.0, 125.0];

/// The two parts and samples of each.
pub(crate) struct Ends<'a> {
    base: Body<'a>,
    present: Body<'a>,
    base_samples: Vec<Vec3>,
    present_samples: Vec<Vec3>,
    masses: [MassProperties; 2],
    same: f64,
}

impl<'a> Ends<'a> {
    /// Samples both.
    pub fn new(base: Body<'a>, present: Body<'a>, same: f64) -> Ends<'a> {
        let (base_samples, present_samples) = parallel::join(
            || spread(base.mesh, SAMPLES),
            || spread(present.mesh, SAMPLES),
        );
        let masses = parallel::join(
            || MassProperties::of(base.mesh),
            || MassProperties::of(present.mesh),
        );
        Ends {
            masses: masses.into(),
            base,
            present,
            base_samples,
            present_samples,
            same,
        }
    }

    /// Whether most samples are somewhere near: the distances in full will not be a long search.
    pub fn near_all_over(&self, onto: &Rigid) -> bool {
        self.score(onto, 4) > 0.5
    }

    /// The motion that lays the base onto the present.
    pub fn lay(&self) -> Rigid {
        let alike = self.may_be_same();
        let still = self.score(&Rigid::IDENTITY, 1);
        let mut best = (still, Rigid::IDENTITY);
        let kinds: [(Vec<Rigid>, bool, f64); 3] = [
            (guesses::moves(self), false, MARGIN_MOVE),
            (Vec::new(), false, MARGIN_TURN),
            (Vec::new(), true, MARGIN_TURN),
        ];
        for (number, (mut guesses, turning, margin)) in kinds.into_iter().enumerate() {
            if number > 0 {
                if best.0 >= LOST && !(alike && (best.0 < SURE || self.of_one_volume())) {
                    return best.1;
                }
                guesses = match number {
                    1 => guesses::axis_turns(self),
                    _ => guesses::turns(self),
                };
            }
            let mut found: Option<(f64, Rigid)> = None;
            let (stride, least) = match number {
                0 => (4, 0.0),
                _ => (10, HOPE * still),
            };
            let leaders = self.leaders(guesses, stride, least);
            let laid = parallel::map(&leaders, |_, start| {
                let laid = self.stepped(start, turning);
                (laid, self.score(&laid, 1))
            });
            for (laid, score) in laid {
                // Every sample lies on where every vertex does; few of them tell that soon.
                if alike && score >= ALL && all_within(self.base, self.present, &laid, self.same) {
                    return laid;
                }
                if found.is_none_or(|(most, _)| score > most) {
                    found = Some((score, laid));
                }
            }
            // A turn that leaves most of the surface off lays nothing on: a redesigned part stays as it is filed.
            if let Some(found) = found
                && found.0 > best.0 + margin
                && (number == 0 || found.0 >= LOST)
            {
                best = found;
            }
        }
        best.1
    }

    /// Two surfaces within `same` of each other differ in volume by no more than that over their area.
    fn may_be_same(&self) -> bool {
        let [base, present] = &self.masses;
        let least = base.area_mm2.max(present.area_mm2) * self.same;
        (base.volume_mm3 - present.volume_mm3).abs() <= least + 1e-6 * base.volume_mm3.abs()
    }

    fn of_one_volume(&self) -> bool {
        let [base, present] = &self.masses;
        let most = base.volume_mm3.abs().max(present.volume_mm3.abs());
        (base.volume_mm3 - present.volume_mm3).abs() <= SAME_VOLUME * most
    }

    /// Volumes of base and present, mm3.
    pub fn volumes(&self) -> [f64; 2] {
        [0, 1].map(|k| self.masses[k].volume_mm3)
    }

    /// The share of the surfaces that lies on, 0 to 1; every `stride`-th sample is asked.
    fn score(&self, onto: &Rigid, stride: usize) -> f64 {
        let back = onto.inverse();
        let reach = LEVELS[LEVELS.len() - 1] * self.same;
        let way = |samples: &[Vec3], to: Body<'_>, map: &Rigid| -> (f64, usize) {
            let mut sum = 0.0;
            let mut count = 0;
            for &sample in samples.iter().step_by(stride) {
                count += 1;
                if let Some(found) = to.tree.closest(map.at(sample), reach, |_| true) {
                    let levels = LEVELS.iter().filter(|&l| found.distance <= l * self.same);
                    sum += levels.count() as f64 / LEVELS.len() as f64;
                }
            }
            (sum, count)
        };
        let there = way(&self.base_samples, self.present, onto);
        let back = way(&self.present_samples, self.base, &back);
        let count = there.1 + back.1;
        if count == 0 {
            return 0.0;
        }
        (there.0 + back.0) / count as f64
    }

    /// The best few guesses by a rough score of at least `least`, the best first; among equals the earlier.
    fn leaders(&self, guesses: Vec<Rigid>, stride: usize, least: f64) -> Vec<Rigid> {
        let scores = parallel::map(&guesses, |_, guess| self.score(guess, stride));
        let mut order: Vec<usize> = (0..guesses.len()).filter(|&i| scores[i] >= least).collect();
        order.sort_by(|&a, &b| scores[b].total_cmp(&scores[a]));
        order
            .into_iter()
            .take(LEADERS)
            .map(|i| guesses[i])
            .collect()
    }
}
