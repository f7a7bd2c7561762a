//! Many points of a study on the same draws: a taper against a scatter, a limit against a torque.
//!
//! The scores of a block are drawn once; every point makes its own parts from them and solves them. Points that share
//! their draws can be compared without the noise of sampling, and cost less. A point's counts are those of a run of its own
//! with the same seed: the draws of a characteristic hang on the seed and its name alone.

use capability::masks::MaskCounts;
use capability::powers::{Powers, add_powers};
use capability::tally::Missing;
use fit::{Block, Output};
use rayon::prelude::*;
use sampling::{BLOCK, Column, Order, Part};
use std::sync::atomic::{AtomicBool, Ordering};

use crate::dispatch::{self, Instructions};
use crate::kernel::CHUNK;
use crate::plan::Plan;
use crate::run::Stopped;
use crate::supply::Supply;

/// Blocks of one task.
const TASK_BLOCKS: u64 = 64;

/// Blocks that a point solves one after the other, so that what belongs to it need not be fetched for each.
const GROUP: usize = 8;

/// Pairings of one task.
const TASK: u64 = TASK_BLOCKS * BLOCK as u64;

/// Tasks at work or waiting to be folded for each thread.
const AHEAD: usize = 4;

/// What one point gave.
#[derive(Debug, Clone, PartialEq)]
pub struct PointCounts {
    /// Pairings by set of broken limits.
    pub masks: MaskCounts,
    /// By output followed: number of pairings that have it, sums of the powers of the deviation from [`Points::shifts`].
    pub powers: Vec<Powers>,
}

impl PointCounts {
    fn new(plan: &Plan) -> PointCounts {
        PointCounts {
            masks: MaskCounts::new(LANE_COLUMNS),
            powers: vec![Powers::default(); plan.outputs.len()],
        }
    }

    /// Adds the next task of the point.
    fn fold(&mut self, task: &PointCounts) {
        self.masks.merge(&task.masks);
        for (sum, part) in self.powers.iter_mut().zip(&task.powers) {
            sum.fold(part);
        }
    }
}

/// Columns of the sets of broken limits: pairings that are counted in one place in a row would wait for each other.
const LANE_COLUMNS: usize = 8;

/// The points of a study, ready to run on shared draws.
#[derive(Debug)]
pub struct Points {
    plans: Vec<Plan>,
    slots: Slots,
    /// By point, which characteristics its parts must be made anew for: all others are as at the point before.
    renewed: Vec<Renewed>,
}

/// By part and place in it, which column of scores a characteristic of a plain part is made from; `None` where no point
/// needs any.
type Slots = Vec<Vec<Option<usize>>>;

/// What a thread works with.
#[derive(Debug)]
pub(crate) struct Room {
    /// One block of scores for each column.
    scores: Vec<Column>,
    block: Box<Block>,
    supply: Supply,
}

/// What a point does not take over from the point before it.
#[derive(Debug, Clone, Default)]
pub(crate) struct Renewed {
    /// Characteristics of plain parts: part, place in it, column of scores.
    plain: Vec<(usize, usize, Option<usize>)>,
    /// Parts that are drawn whole, because they are inspected, hang together or have slow movements.
    whole: Vec<usize>,
}

impl Points {
    /// The points with these plans. Only points of one kind of joint can share draws.
    ///
    /// # Errors
    /// A sentence, when there is no point, or when points differ in their kind of seat, number of teeth, seed or in what is
    /// drawn.
    pub fn new(plans: Vec<Plan>) -> Result<Points, String> {
        let first = plans.first().ok_or("a study needs at least one point")?;
        for plan in &plans {
            if !shares(first, plan) {
                return Err("points share their draws only when the seed, the kind of seat and what is drawn are the same".into());
            }
        }
        let slots = slots(&plans);
        let before = |point: usize| point.checked_sub(1).map(|p| &plans[p]);
        let renewed = (0..plans.len())
            .map(|point| Renewed::of(&plans[point], before(point), &slots))
            .collect();
        Ok(Points {
            plans,
            slots,
            renewed,
        })
    }

    /// The plans, point by point.
    pub fn plans(&self) -> &[Plan] {
        &self.plans
    }

    /// The value that deviations of every output followed at a point are taken from: its value with all at nominal.
    pub fn shifts(plan: &Plan) -> Vec<f64> {
        let nominal = plan.joint.solve(&plan.nominal(), &plan.criteria);
        let shift = |output: &Output| nominal.get(*output).unwrap_or(0.0);
        plan.outputs.iter().map(shift).collect()
    }

    /// Runs `pairings` pairings of every point. The result is the same for any number of threads.
    ///
    /// # Errors
    /// [`Stopped::Interrupted`], [`Stopped::NotFinite`].
    pub fn run(
        &self,
        pairings: u64,
        instructions: Instructions,
        pool: &rayon::ThreadPool,
        stop: &AtomicBool,
    ) -> Result<Vec<PointCounts>, Stopped> {
        let shifts: Vec<Vec<f64>> =
            pool.install(|| self.plans.par_iter().map(Points::shifts).collect());
        let mut folded: Vec<PointCounts> = self.plans.iter().map(PointCounts::new).collect();
        let tasks = pairings.div_ceil(TASK);
        let wave = (AHEAD * pool.current_num_threads()) as u64;
        for first in (0..tasks).step_by(wave as usize) {
            let done: Vec<Vec<PointCounts>> = pool.install(|| {
                (first..tasks.min(first + wave))
                    .into_par_iter()
                    .map(|task| self.task(task, pairings, &shifts, instructions, stop))
                    .collect()
            });
            if stop.load(Ordering::Relaxed) {
                return Err(Stopped::Interrupted);
            }
            for (number, task) in (first..).zip(&done) {
                for ((sum, part), plan) in folded.iter_mut().zip(task).zip(&self.plans) {
                    finite(plan, part, number, pairings)?;
                    sum.fold(part);
                }
            }
        }
        Ok(folded)
    }

    /// One task: its blocks, and within each block all points.
    fn task(
        &self,
        task: u64,
        pairings: u64,
        shifts: &[Vec<f64>],
        instructions: Instructions,
        stop: &AtomicBool,
    ) -> Vec<PointCounts> {
        let mut counts: Vec<PointCounts> = self.plans.iter().map(PointCounts::new).collect();
        let first = &self.plans[0];
        let mut rooms: Vec<Room> = (0..GROUP).map(|_| Room::new(first, &self.slots)).collect();
        let numbers = task * TASK_BLOCKS..(task + 1) * TASK_BLOCKS;
        let numbers: Vec<u64> = numbers
            .take_while(|number| number * (BLOCK as u64) < pairings)
            .collect();
        for group in numbers.chunks(GROUP) {
            if stop.load(Ordering::Relaxed) {
                break;
            }
            for (number, room) in group.iter().zip(&mut rooms) {
                dispatch::scores(instructions, first, &self.slots, *number, room);
            }
            for (point, plan) in self.plans.iter().enumerate() {
                for (number, room) in group.iter().zip(&mut rooms) {
                    let len = (pairings - number * BLOCK as u64).min(BLOCK as u64) as usize;
                    dispatch::make(instructions, plan, &self.renewed[point], *number, room);
                    dispatch::solve(instructions, plan, plan.wanted, &mut room.block);
                    let (shifts, counts) = (&shifts[point], &mut counts[point]);
                    dispatch::sum(instructions, plan, shifts, len, &room.block, counts);
                }
            }
        }
        counts
    }
}

impl Room {
    fn new(plan: &Plan, slots: &Slots) -> Room {
        Room {
            scores: vec![[0.0; BLOCK]; slots.iter().flatten().flatten().count()],
            block: plan.block(),
            supply: Supply::new(plan, Order::Stock),
        }
    }
}

impl Renewed {
    fn of(plan: &Plan, before: Option<&Plan>, slots: &Slots) -> Renewed {
        let mut renewed = Renewed::default();
        for (i, part) in plan.parts.iter().enumerate() {
            let before = before.map(|plan| &plan.parts[i]);
            if !part.is_plain() || before.is_some_and(|part| !part.is_plain()) {
                renewed.whole.push(i);
                continue;
            }
            for (j, c) in part.characteristics().iter().enumerate() {
                let before = before.map(|part| &part.characteristics()[j].process);
                if before.is_none_or(|before| !before.is_same(&c.process)) {
                    renewed.plain.push((i, j, slots[i][j]));
                }
            }
        }
        renewed
    }
}

/// Refuses a task in which an output came out as no number.
fn finite(plan: &Plan, task: &PointCounts, number: u64, pairings: u64) -> Result<(), Stopped> {
    let place = task.powers.iter().position(|p| !p.sums[3].is_finite());
    place.map_or(Ok(()), |place| {
        let first = number * TASK;
        Err(Stopped::NotFinite {
            chunk: first / CHUNK,
            first,
            last: (first + TASK).min(pairings) - 1,
            output: plan.outputs[place].key(),
        })
    })
}

/// Whether two plans can share their draws.
fn shares(a: &Plan, b: &Plan) -> bool {
    let drawn = |part: &Part| -> Vec<(usize, String)> {
        let all = part.characteristics().iter();
        all.map(|c| (c.column, c.stream.clone())).collect()
    };
    a.joint.teeth() == b.joint.teeth()
        && a.parts.len() == b.parts.len()
        && a.parts
            .iter()
            .zip(&b.parts)
            .all(|(a, b)| a.seed() == b.seed() && drawn(a) == drawn(b))
}

/// Adds the first `len` lanes of a solved block to a point.
#[inline(always)]
pub(crate) fn sum(
    plan: &Plan,
    shifts: &[f64],
    len: usize,
    block: &Block,
    counts: &mut PointCounts,
) {
    const COLUMNS: [u16; BLOCK] = {
        let mut columns = [0; BLOCK];
        let mut lane = 0;
        while lane < BLOCK {
            columns[lane] = (lane % LANE_COLUMNS) as u16;
            lane += 1;
        }
        columns
    };
    counts.masks.add(&block.broken[..len], &COLUMNS[..len]);
    for (i, output) in plan.outputs.iter().enumerate() {
        let bit = output.index() as u32;
        let lanes = &block.absent[..len];
        let missing = (block.any_absent >> bit & 1 == 1).then_some(Missing { lanes, bit });
        let values = &block.outputs[output.index()][..len];
        add_powers(values, missing, shifts[i], &mut counts.powers[i]);
    }
}

/// Makes the parts of a point that differ from those of the point before: from the scores at hand, or drawn anew.
#[inline(always)]
pub(crate) fn make(plan: &Plan, renewed: &Renewed, number: u64, room: &mut Room) {
    let Room {
        scores,
        block,
        supply,
    } = room;
    for &(part, place, slot) in &renewed.plain {
        let c = &plan.parts[part].characteristics()[place];
        let values = &mut block.inputs[c.column];
        match slot {
            Some(slot) => c.process.fill(&scores[slot], values),
            None => *values = [c.process.mean(); BLOCK],
        }
    }
    for &part in &renewed.whole {
        // Drawing leaves constants alone; another point may have had another one, or none.
        for c in plan.parts[part].characteristics() {
            if c.process.is_constant() {
                block.inputs[c.column] = [c.process.mean(); BLOCK];
            }
        }
        plan.draw_part(part, number, BLOCK, supply, block);
    }
    plan.draw_teeth(number, block);
}

/// Draws the scores of one block.
#[inline(always)]
pub(crate) fn scores(plan: &Plan, slots: &[Vec<Option<usize>>], number: u64, room: &mut Room) {
    for (part, slots) in plan.parts.iter().zip(slots) {
        for (place, slot) in slots.iter().enumerate() {
            if let Some(slot) = slot {
                part.scores(place, number, &mut room.scores[*slot]);
            }
        }
    }
}

/// A column of scores for every characteristic of a plain part that varies at some point.
fn slots(plans: &[Plan]) -> Slots {
    let mut next = 0..;
    let mut slot = |part: usize, place: usize| {
        let varies = plans.iter().any(|plan| {
            let part = &plan.parts[part];
            part.is_plain() && !part.characteristics()[place].process.is_constant()
        });
        if varies { next.next() } else { None }
    };
    let parts = plans[0].parts.iter().enumerate();
    parts
        .map(|(part, p)| {
            (0..p.characteristics().len())
                .map(|place| slot(part, place))
                .collect()
        })
        .collect()
}

#[cfg(test)]
mod tests;
