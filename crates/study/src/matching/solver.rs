//! Many pairings side by side, and the thicknesses with which one of them is good.

use fit::{Block, Input, LANES, Output, Outputs, Pairing, Solution, Verdict};

use crate::dispatch::{self, Instructions};
use crate::measured::Measured;
use crate::plan::Plan;

/// Thicknesses that are solved to find a window, a multiple of the lanes of a block.
const THICKNESSES: usize = 256;

/// Thickness, as a share of the first touch, of a spacer so thin that it is never in the way.
const THIN: f64 = 1e-6;

/// Distance past first touch at which a spacer holds the hub off the cone whatever it gives (mm).
const CLEAR_MM: f64 = 1.0;

/// What solves pairings.
#[derive(Debug)]
pub struct Solver {
    /// The plan.
    pub plan: Plan,
    instructions: Instructions,
}

impl Solver {
    /// A solver on the widest vector unit; the choice changes no bit.
    pub fn new(mut plan: Plan) -> Solver {
        // Measured parts lie where they lie, not where the processes would put them.
        plan.joint = plan.joint.of_widest_reach();
        Solver {
            plan,
            instructions: Instructions::best(),
        }
    }

    /// Whether the angles are near enough to nominal for the block's tangents.
    pub fn in_reach(&self, pairing: &Pairing) -> bool {
        let sizes = self.plan.joint.sizes();
        [Input::MaleHalfAngle, Input::FemaleHalfAngle]
            .into_iter()
            .all(|angle| {
                (pairing.get(angle) - sizes.nominal[angle.index()]).abs() <= sizes.angle_reach
            })
    }

    /// The solutions in the order of the pairings. Those out of reach are solved one by one.
    pub fn solutions(&self, pairings: &[Measured]) -> Vec<Solution> {
        let mut block = Block::new(self.plan.joint.teeth());
        let mut solutions = Vec::with_capacity(pairings.len());
        let nominal = Measured::new(self.plan.nominal());
        for chunk in pairings.chunks(LANES) {
            for lane in 0..LANES {
                let near = chunk.get(lane).filter(|p| self.in_reach(&p.pairing));
                let Measured { pairing, teeth } = near.unwrap_or(&nominal);
                fill(&mut block, lane, pairing);
                block.teeth.fill_lane(lane, teeth);
            }
            dispatch::solve(self.instructions, &self.plan, Outputs::ALL, &mut block);
            solutions.extend(chunk.iter().enumerate().map(|(lane, measured)| {
                let (joint, criteria) = (&self.plan.joint, &self.plan.criteria);
                let Measured { pairing, teeth } = measured;
                if self.in_reach(pairing) {
                    block.solution(joint, criteria, lane)
                } else {
                    joint.solve_with(pairing, teeth, criteria)
                }
            }));
        }
        solutions
    }

    /// For each pairing the unbroken run of good thicknesses nearest to the one that gives the draw-up (mm).
    ///
    /// A spacer thinner than `low` leaves a gap, because the cones carry the whole bolt load at that stand-off; one
    /// thicker than `high` holds the hub off the cones even when it is squeezed by the whole bolt load. Between the two
    /// [`THICKNESSES`] thicknesses are solved; both ends of a run are thicknesses that were found good.
    pub fn windows(
        &self,
        pairings: &[Measured],
        solutions: &[Solution],
        draw_up_mm: f64,
    ) -> Vec<Option<[f64; 2]>> {
        let touch = |i: usize| solutions[i].get(Output::FirstTouch).filter(|t| *t > 0.0);
        let at = |thickness: &dyn Fn(f64) -> f64| -> Vec<Solution> {
            let tried: Vec<Measured> = pairings
                .iter()
                .enumerate()
                .map(|(i, measured)| match touch(i) {
                    Some(touch) => measured.with(Input::Thickness, thickness(touch)),
                    None => measured.clone(),
                })
                .collect();
            self.solutions(&tried)
        };
        let (thin, clear) = (at(&|touch| THIN * touch), at(&|touch| touch + CLEAR_MM));
        let mut block = Block::new(self.plan.joint.teeth());
        (0..pairings.len())
            .map(|i| {
                let touch = touch(i).filter(|_| self.in_reach(&pairings[i].pairing))?;
                let open = thin[i].get(Output::Gap).is_some_and(|gap| gap > 0.0);
                let low = match thin[i].get(Output::StandOff) {
                    Some(stand_off) if open => stand_off.max(THIN * touch),
                    _ => THIN * touch,
                };
                let squeezed = touch + CLEAR_MM - clear[i].get(Output::StandOff)?;
                // The stiffness of a ring follows its thickness: a twentieth covers the difference.
                let high = touch + 1.05 * squeezed.max(0.0);
                let found = self.scan(&mut block, &pairings[i], [low, high], touch - draw_up_mm);
                let step = (high - low) / (THICKNESSES - 1) as f64;
                with_chosen(found, &pairings[i].pairing, &solutions[i], step)
            })
            .collect()
    }

    /// The run of good thicknesses between two ends that is nearest to `needed`.
    fn scan(
        &self,
        block: &mut Block,
        measured: &Measured,
        [low, high]: [f64; 2],
        needed: f64,
    ) -> Option<[f64; 2]> {
        let step = (high - low) / (THICKNESSES - 1) as f64;
        let thickness = |place: usize| low + step * place as f64;
        let mut pairing = measured.pairing;
        let mut runs: Vec<[usize; 2]> = Vec::new();
        for first in (0..THICKNESSES).step_by(LANES) {
            for lane in 0..LANES {
                pairing.0[Input::Thickness.index()] = thickness(first + lane);
                fill(block, lane, &pairing);
            }
            block.teeth.fill(&measured.teeth);
            dispatch::solve(self.instructions, &self.plan, self.plan.judged, block);
            for lane in (0..LANES).filter(|&lane| block.broken[lane] == 0) {
                let place = first + lane;
                match runs.last_mut() {
                    Some(run) if run[1] + 1 == place => run[1] = place,
                    _ => runs.push([place, place]),
                }
            }
        }
        let far = |run: &[usize; 2]| {
            let [from, to] = run.map(thickness);
            (from - needed).max(needed - to).max(0.0)
        };
        runs.into_iter()
            .min_by(|a, b| far(a).total_cmp(&far(b)))
            .map(|run| run.map(thickness))
    }
}

/// The window with the thickness that was solved itself, when that is good and lies in or beside it.
fn with_chosen(
    window: Option<[f64; 2]>,
    pairing: &Pairing,
    solution: &Solution,
    step: f64,
) -> Option<[f64; 2]> {
    let chosen = pairing.get(Input::Thickness);
    if solution.verdict != Verdict::Good {
        return window;
    }
    match window {
        Some([low, high]) if chosen >= low - step && chosen <= high + step => {
            Some([low.min(chosen), high.max(chosen)])
        }
        Some(window) => Some(window),
        None => Some([chosen, chosen]),
    }
}

fn fill(block: &mut Block, lane: usize, pairing: &Pairing) {
    for (column, value) in block.inputs.iter_mut().zip(pairing.0) {
        column[lane] = value;
    }
}
