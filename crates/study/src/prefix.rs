//! What the chunks of a run gave, folded in the order of the chunks, and the end of a run that looks at its own interval.

use std::collections::BTreeMap;
use std::sync::atomic::{AtomicBool, Ordering};
use std::sync::{Condvar, Mutex, MutexGuard, PoisonError};

use capability::tally::{FoldedSums, Sums};

use crate::kernel::{CHUNK, Counted};
use crate::plan::Plan;
use crate::run::Progress;

/// What one chunk gave.
#[derive(Debug)]
pub(crate) struct Chunk {
    /// Sums by output followed.
    pub(crate) sums: Vec<Sums>,
    /// Its counts, where the end of the run hangs on them; otherwise the threads keep theirs.
    pub(crate) counted: Option<Counted>,
}

/// Gives out the chunks to the threads and takes what they gave.
#[derive(Debug)]
pub(crate) struct Turns<'p> {
    prefix: Mutex<Prefix<'p>>,
    moved_on: Condvar,
    /// Chunks that may be at work or waiting beyond the prefix: keeps the memory of a run constant.
    ahead: u64,
}

impl<'p> Turns<'p> {
    /// The chunks of a plan for so many threads.
    pub(crate) fn new(plan: &'p Plan, threads: usize) -> Turns<'p> {
        Turns {
            prefix: Mutex::new(Prefix::new(plan)),
            moved_on: Condvar::new(),
            ahead: match plan.until {
                Some(_) => 2 * threads as u64,
                None => u64::MAX,
            },
        }
    }

    /// The next chunk to run; `None` when there is nothing more to do. Waits for the prefix when the run may end there: it
    /// moves on because the thread that has its next chunk never waits here.
    pub(crate) fn take(&self, stop: &AtomicBool) -> Option<u64> {
        let mut prefix = self.lock();
        loop {
            if stop.load(Ordering::Relaxed) || prefix.ended || prefix.taken >= prefix.chunks {
                return None;
            }
            if prefix.taken - prefix.folded < self.ahead {
                prefix.taken += 1;
                return Some(prefix.taken - 1);
            }
            prefix = self
                .moved_on
                .wait(prefix)
                .unwrap_or_else(PoisonError::into_inner);
        }
    }

    /// Takes what a chunk gave; returns how far the run is.
    pub(crate) fn give(&self, number: u64, chunk: Chunk) -> Progress {
        let mut prefix = self.lock();
        prefix.push(number, chunk);
        self.moved_on.notify_all();
        prefix.progress()
    }

    /// Sets free who waits for a thread that panics while this value lives.
    pub(crate) fn guarded(&self) -> impl Drop {
        Leaving(self)
    }

    /// What is left when all threads are done.
    pub(crate) fn into_prefix(self) -> Prefix<'p> {
        self.prefix
            .into_inner()
            .unwrap_or_else(PoisonError::into_inner)
    }

    fn lock(&self) -> MutexGuard<'_, Prefix<'p>> {
        self.prefix.lock().unwrap_or_else(PoisonError::into_inner)
    }
}

struct Leaving<'t, 'p>(&'t Turns<'p>);

impl Drop for Leaving<'_, '_> {
    fn drop(&mut self) {
        if std::thread::panicking() {
            self.0.lock().ended = true;
            self.0.moved_on.notify_all();
        }
    }
}

/// A running prefix of chunks, and what came early.
#[derive(Debug)]
pub(crate) struct Prefix<'p> {
    plan: &'p Plan,
    chunks: u64,
    taken: u64,
    folded: u64,
    early: BTreeMap<u64, Chunk>,
    ended: bool,
    rejects: u64,
    expected: u64,
    /// Sums by output followed.
    pub(crate) sums: Vec<FoldedSums>,
    /// Counts of the chunks that came with theirs.
    pub(crate) counted: Counted,
    /// First chunk that gave a number which is not finite, and the place of the output.
    pub(crate) not_finite: Option<(u64, usize)>,
}

impl<'p> Prefix<'p> {
    fn new(plan: &'p Plan) -> Prefix<'p> {
        Prefix {
            plan,
            chunks: plan.pairings.div_ceil(CHUNK),
            taken: 0,
            folded: 0,
            early: BTreeMap::new(),
            ended: false,
            rejects: 0,
            expected: plan.pairings,
            sums: vec![FoldedSums::default(); plan.outputs.len()],
            counted: Counted::new(plan),
            not_finite: None,
        }
    }

    /// Pairings folded.
    pub(crate) fn pairings(&self) -> u64 {
        self.folded.saturating_mul(CHUNK).min(self.plan.pairings)
    }

    fn progress(&self) -> Progress {
        Progress {
            done: self.pairings(),
            pairings: self.expected,
            estimated: self.plan.until.is_some(),
        }
    }

    /// Folds every chunk whose turn it is; what lies beyond the end of the run is dropped.
    fn push(&mut self, number: u64, chunk: Chunk) {
        if self.ended {
            return;
        }
        self.early.insert(number, chunk);
        while let Some(chunk) = self.early.remove(&self.folded) {
            self.fold(&chunk);
            if self.ended {
                self.early.clear();
            }
        }
    }

    fn fold(&mut self, chunk: &Chunk) {
        for (output, (folded, sums)) in self.sums.iter_mut().zip(&chunk.sums).enumerate() {
            if !sums.is_finite() && self.not_finite.is_none() {
                self.not_finite = Some((self.folded, output));
            }
            folded.fold(sums);
        }
        self.folded += 1;
        if let Some(counted) = &chunk.counted {
            self.counted.merge(counted);
            self.rejects += counted.rejects();
        }
        if let Some(until) = &self.plan.until {
            let pairings = self.pairings();
            self.expected = until.expected(self.rejects, pairings, self.plan.pairings);
            self.ended = until.ends_after(self.folded, self.rejects, pairings);
        }
    }
}

#[cfg(test)]
mod tests {
    use std::sync::mpsc;
    use std::time::Duration;

    use record::HalfWidth;

    use super::*;
    use crate::Loaded;
    use crate::until::{FIRST_LOOK, Until};

    /// A plan without end that any sixteen chunks without rejects bring to an end.
    fn plan() -> Plan {
        let text = include_str!("../../../tests/bad/good.toml");
        let loaded = Loaded::from_text("good.toml", "good", text, &[]).expect("a good scenario");
        let mut plan = Plan::new(&loaded.scenario).expect("sizes that agree");
        plan.pairings = 1 << 50;
        plan.until = Some(Until {
            half_width: HalfWidth::Absolute(1e-3),
            stated: String::new(),
            confidence: 0.95,
        });
        plan
    }

    /// A chunk of good joints, and so many that break the first limit.
    fn chunk(plan: &Plan, rejects: usize) -> Chunk {
        let mut counted = Counted::new(plan);
        let columns = [0; CHUNK as usize];
        counted
            .masks
            .add(&vec![0; CHUNK as usize - rejects], &columns);
        counted.masks.add(&vec![1; rejects], &columns);
        Chunk {
            sums: vec![Sums::default(); plan.outputs.len()],
            counted: Some(counted),
        }
    }

    #[test]
    fn chunks_beyond_the_end_are_dropped_whenever_they_come() {
        let plan = plan();
        let turns = Turns::new(&plan, 20);
        let stop = AtomicBool::new(false);
        while turns.lock().taken < FIRST_LOOK + 4 {
            turns.take(&stop).expect("more to do");
        }
        // The later ones first, with rejects that would widen the interval.
        for number in (FIRST_LOOK..FIRST_LOOK + 2).chain(1..FIRST_LOOK) {
            let rejects = if number < FIRST_LOOK { 7 } else { 30_000 };
            turns.give(number, chunk(&plan, rejects));
            assert!(!turns.lock().ended, "{number}");
        }
        let told = turns.give(0, chunk(&plan, 7));
        assert_eq!((told.done, told.pairings), (16 * CHUNK, 16 * CHUNK));
        turns.give(FIRST_LOOK + 2, chunk(&plan, 30_000));
        assert_eq!(turns.take(&stop), None);
        let prefix = turns.into_prefix();
        assert_eq!(prefix.pairings(), FIRST_LOOK * CHUNK);
        assert_eq!(prefix.counted.rejects(), 7 * FIRST_LOOK);
        assert!(prefix.early.is_empty());
    }

    #[test]
    fn no_thread_runs_far_ahead_of_the_prefix() {
        let plan = plan();
        let turns = Turns::new(&plan, 1);
        let stop = AtomicBool::new(false);
        let (tell, told) = mpsc::channel();
        std::thread::scope(|scope| {
            scope.spawn(|| {
                for _ in 0..3 {
                    tell.send(turns.take(&stop)).expect("heard");
                }
            });
            let soon = || told.recv_timeout(Duration::from_millis(200)).ok().flatten();
            assert_eq!([soon(), soon(), soon()], [Some(0), Some(1), None]);
            turns.give(1, chunk(&plan, 0));
            assert_eq!(soon(), None, "chunk 0 is still at work");
            turns.give(0, chunk(&plan, 0));
            assert_eq!(told.recv().expect("heard"), Some(2));
        });
    }

    #[test]
    fn a_thread_that_panics_sets_the_waiting_ones_free() {
        let plan = plan();
        let turns = Turns::new(&plan, 1);
        let stop = AtomicBool::new(false);
        turns.take(&stop);
        turns.take(&stop);
        std::thread::scope(|scope| {
            let waiting = scope.spawn(|| turns.take(&stop));
            let lost = scope.spawn(|| {
                let _guard = turns.guarded();
                panic!("on purpose");
            });
            assert!(lost.join().is_err());
            assert_eq!(waiting.join().expect("no panic here"), None);
        });
    }

    #[test]
    fn a_run_without_a_rule_waits_for_nothing() {
        let mut plan = plan();
        plan.until = None;
        let turns = Turns::new(&plan, 1);
        let stop = AtomicBool::new(false);
        let taken: Vec<_> = (0..100).map_while(|_| turns.take(&stop)).collect();
        assert_eq!(taken.len(), 100);
    }
}
