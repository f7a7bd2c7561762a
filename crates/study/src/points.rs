//! Many points of a study on the same draws: a taper against a scatter, a limit against a torque.
//!
//! The scores of a block are drawn once; every point makes its own parts from them and solves them. Points that share
//! their draws can be compared without the noise of sampling, and cost less. A point's counts are those of a run of its own
//! with the same seed: the draws of a characteristic hang on the seed and its name alone.

use capability::powers::{Powers, PowersAtWork};
use capability::sets::SetCounts;
use capability::tally::Missing;
use fit::{Block, Input, Output, Pass};
use rayon::prelude::*;
use sampling::{BLOCK, Column, Order, Part};
use std::sync::atomic::{AtomicBool, Ordering};
use std::sync::{Mutex, MutexGuard, PoisonError};

use crate::dispatch::{self, Instructions};
use crate::kernel::CHUNK;
use crate::plan::Plan;
use crate::run::Stopped;
use crate::supply::Supply;

/// Blocks of one task.
const TASK_BLOCKS: u64 = 64;

/// Points that take turns on one block before the next block comes: what belongs to them stays in the second cache, and the
/// block in the first.
const GROUP: usize = 32;

/// Pairings of one task.
const TASK: u64 = TASK_BLOCKS * BLOCK as u64;

/// Tasks at work or waiting to be folded for each thread.
const AHEAD: usize = 4;

/// What one point gave.
#[derive(Debug, Clone, PartialEq)]
pub struct PointCounts {
    /// Pairings by set of broken limits.
    pub sets: SetCounts,
    /// By output followed: number of pairings that have it, sums of the powers of the deviation from [`Points::shifts`].
    pub powers: Vec<Powers>,
}

impl PointCounts {
    fn new(plan: &Plan) -> PointCounts {
        PointCounts {
            sets: SetCounts::default(),
            powers: vec![Powers::default(); plan.outputs.len()],
        }
    }

    /// Adds the next task of the point.
    fn fold(&mut self, task: &PointCounts) {
        self.sets.merge(&task.sets);
        for (sum, part) in self.powers.iter_mut().zip(&task.powers) {
            sum.fold(part);
        }
    }
}

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
struct Room {
    /// The scores of a task: block by block, a column for each slot (64 KiB each), read again by every group.
    scores: Vec<Column>,
    block: Box<Block>,
    supply: Supply,
}

/// What a point does not take over from the point before it; the first of a group takes over nothing.
#[derive(Debug, Clone, Default)]
pub(crate) struct Renewed {
    /// Constants of plain parts: column of the block, value.
    constants: Vec<(usize, f64)>,
    /// Normal characteristics of plain parts, at hand because a study changes these most.
    normals: Vec<Normal>,
    /// Other characteristics of plain parts: part, place in it, column of scores.
    others: Vec<(usize, usize, usize)>,
    /// Whether only sizes differ from the point before, and the joint is the same.
    sizes_only: bool,
    /// Parts that are drawn whole, because they are inspected, hang together or have slow movements.
    whole: Vec<usize>,
}

/// A normal characteristic, to be made from its column of scores.
#[derive(Debug, Clone, Copy)]
struct Normal {
    column: usize,
    slot: usize,
    mean: f64,
    sd: f64,
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
        let before = |point: usize| (!point.is_multiple_of(GROUP)).then(|| &plans[point - 1]);
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
    pub fn shifts(plan: &Plan, instructions: Instructions) -> Vec<f64> {
        let mut block = plan.block();
        for (column, nominal) in block.inputs.iter_mut().zip(plan.nominal().0) {
            *column = [nominal; BLOCK];
        }
        dispatch::solve(instructions, plan, plan.wanted, &mut block);
        let absent = |output: &Output| block.absent[0] >> output.index() & 1 == 1;
        let shift = |output: &Output| {
            let value = block.outputs[output.index()][0];
            if absent(output) { 0.0 } else { value }
        };
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
        let shifts: Vec<Vec<f64>> = pool.install(|| {
            let shifts = |plan| Points::shifts(plan, instructions);
            self.plans.par_iter().map(shifts).collect()
        });
        let mut folded: Vec<PointCounts> = self.plans.iter().map(PointCounts::new).collect();
        let tasks = pairings.div_ceil(TASK);
        let wave = (AHEAD * pool.current_num_threads()) as u64;
        let spare = Mutex::new(vec![]);
        for first in (0..tasks).step_by(wave as usize) {
            let done: Vec<Vec<PointCounts>> = pool.install(|| {
                (first..tasks.min(first + wave))
                    .into_par_iter()
                    .map(|task| {
                        let found = lock(&spare).pop();
                        let mut room = found.unwrap_or_else(|| Room::new(self));
                        let counts =
                            self.task(task, pairings, &shifts, &mut room, instructions, stop);
                        lock(&spare).push(room);
                        counts
                    })
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

    /// One task: group by group of its points, all blocks.
    fn task(
        &self,
        task: u64,
        pairings: u64,
        shifts: &[Vec<f64>],
        room: &mut Room,
        instructions: Instructions,
        stop: &AtomicBool,
    ) -> Vec<PointCounts> {
        let Room {
            scores,
            block,
            supply,
        } = room;
        let mut counts: Vec<PointCounts> = self.plans.iter().map(PointCounts::new).collect();
        let last = pairings.div_ceil(BLOCK as u64);
        let numbers = task * TASK_BLOCKS..last.min((task + 1) * TASK_BLOCKS);
        let alone = self.plans.len() == 1;
        let columns = scores.len() / TASK_BLOCKS as usize;
        let place = |number: u64| (number % TASK_BLOCKS) as usize * columns;
        for number in numbers.clone().filter(|_| !alone) {
            let scores = &mut scores[place(number)..][..columns];
            dispatch::scores(instructions, &self.plans[0], &self.slots, number, scores);
        }
        let mut at_work: Vec<Vec<PowersAtWork>> = vec![];
        for (group, counts) in counts.chunks_mut(GROUP).enumerate() {
            let points = group * GROUP..group * GROUP + counts.len();
            at_work.clear();
            at_work.extend(
                counts
                    .iter()
                    .map(|c| vec![PowersAtWork::default(); c.powers.len()]),
            );
            for number in numbers.clone() {
                if stop.load(Ordering::Relaxed) {
                    return vec![];
                }
                let len = (pairings - number * BLOCK as u64).min(BLOCK as u64) as usize;
                let scores = &scores[place(number)..][..columns];
                let at_work = counts.iter_mut().zip(&mut at_work);
                for (point, (counts, powers)) in points.clone().zip(at_work) {
                    let (plan, renewed) = (&self.plans[point], &self.renewed[point]);
                    if alone {
                        dispatch::draw(instructions, plan, number, BLOCK, supply, block);
                    } else {
                        dispatch::make(instructions, plan, renewed, number, scores, supply, block);
                    }
                    let pass = renewed.pass(alone);
                    dispatch::solve_pass(instructions, plan, plan.wanted, pass, block);
                    let (shifts, sets) = (&shifts[point], &mut counts.sets);
                    dispatch::sum(instructions, plan, shifts, len, block, sets, powers);
                }
            }
            for (counts, at_work) in counts.iter_mut().zip(&mut at_work) {
                for (powers, at_work) in counts.powers.iter_mut().zip(at_work) {
                    at_work.drain_into(powers);
                }
            }
        }
        counts
    }
}

/// Whether or not another thread has panicked.
fn lock<T>(mutex: &Mutex<T>) -> MutexGuard<'_, T> {
    mutex.lock().unwrap_or_else(PoisonError::into_inner)
}

impl Room {
    fn new(points: &Points) -> Room {
        let plan = &points.plans[0];
        // A single point draws its parts as a run does.
        let columns = match points.plans.len() {
            1 => 0,
            _ => points.slots.iter().flatten().flatten().count(),
        };
        Room {
            scores: vec![[0.0; BLOCK]; columns * TASK_BLOCKS as usize],
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
                if before.is_some_and(|before| before.is_same(&c.process)) {
                    continue;
                }
                let column = c.column;
                match (slots[i][j], c.process.normal_within()) {
                    (Some(slot), Some((mean, sd))) => renewed.normals.push(Normal {
                        column,
                        slot,
                        mean,
                        sd,
                    }),
                    (Some(slot), None) if !c.process.is_constant() => {
                        renewed.others.push((i, j, slot));
                    }
                    _ => renewed.constants.push((column, c.process.mean())),
                }
            }
        }
        let same = before.is_some_and(|before| before.joint == plan.joint);
        renewed.sizes_only = same
            && renewed
                .columns(plan)
                .all(|c| Input::SIZES.map(Input::index).contains(&c));
        renewed
    }

    /// Columns of the block that are made anew.
    fn columns(&self, plan: &Plan) -> impl Iterator<Item = usize> {
        let of_part = |part: usize| plan.parts[part].characteristics();
        let whole = self
            .whole
            .iter()
            .flat_map(move |&part| of_part(part).iter().map(|c| c.column));
        let others = self
            .others
            .iter()
            .map(move |&(part, place, _)| of_part(part)[place].column);
        let constants = self.constants.iter().map(|&(column, _)| column);
        let normals = self.normals.iter().map(|normal| normal.column);
        constants.chain(normals).chain(others).chain(whole)
    }

    /// How a point's block is to be solved: on the last one's tracks where only sizes differ.
    fn pass(&self, alone: bool) -> Pass {
        match (alone, self.sizes_only) {
            (true, _) => Pass::Only,
            (false, false) => Pass::First,
            (false, true) => Pass::Again,
        }
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
    sets: &mut SetCounts,
    powers: &mut [PowersAtWork],
) {
    sets.add(&block.broken[..len]);
    for (i, output) in plan.outputs.iter().enumerate() {
        let bit = output.index() as u32;
        let lanes = &block.absent[..len];
        let missing = (block.any_absent >> bit & 1 == 1).then_some(Missing { lanes, bit });
        let values = &block.outputs[output.index()][..len];
        powers[i].add(values, missing, shifts[i]);
    }
}

/// Makes the parts of a point that differ from those of the point before: from the scores at hand, or drawn anew.
#[inline(always)]
pub(crate) fn make(
    plan: &Plan,
    renewed: &Renewed,
    number: u64,
    scores: &[Column],
    supply: &mut Supply,
    block: &mut Block,
) {
    for &(column, value) in &renewed.constants {
        block.inputs[column] = [value; BLOCK];
    }
    for normal in &renewed.normals {
        let values = &mut block.inputs[normal.column];
        sampling::fill_normal(normal.mean, normal.sd, &scores[normal.slot], values);
    }
    for &(part, place, slot) in &renewed.others {
        let c = &plan.parts[part].characteristics()[place];
        c.process.fill(&scores[slot], &mut block.inputs[c.column]);
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
pub(crate) fn scores(
    plan: &Plan,
    slots: &[Vec<Option<usize>>],
    number: u64,
    scores: &mut [Column],
) {
    for (part, slots) in plan.parts.iter().zip(slots) {
        for (place, slot) in slots.iter().enumerate() {
            if let Some(slot) = slot {
                part.scores(place, number, &mut scores[*slot]);
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
