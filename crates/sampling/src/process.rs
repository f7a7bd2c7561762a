//! A process: what really comes off the machine, from standard-normal scores to values.
//!
//! `value = within(z) + slow_1(z_1) + ...`: the scatter from part to part, and parts of it that stay the same for many parts
//! in a row: the mean of a lot, the wear of a tool. Each has scores of its own.

use std::sync::Arc;

use distributions::{
    Lognormal, Normal, QuantileTable, Shape, ShapeError, Triangular, TruncatedNormal, Uniform,
};

use crate::rows::Rows;
use crate::score::Column;
use crate::slow::{self, Slow};

/// Why the parameters do not make a process.
pub type ProcessError = ShapeError;

/// What really comes off the machine for one characteristic.
#[derive(Debug, Clone)]
pub struct Process {
    within: Within,
    slow: Vec<Slow>,
    /// The distribution over all lots and the whole life of a tool, where there is a slow part.
    overall: Option<Arc<dyn Shape>>,
}

/// The scatter from part to part.
#[derive(Debug, Clone)]
enum Within {
    /// Always the same value.
    Constant(f64),
    /// `mean + sd z`: kept apart from the other shapes because a vector unit can do it.
    Normal(Normal),
    /// Any other shape, with its name, and the table of its map: a vector unit can look up many values at once.
    Tabled(&'static str, Arc<dyn Shape>, Arc<QuantileTable>),
    /// A shape that no table follows closely enough: it is asked for every part.
    Shaped(&'static str, Arc<dyn Shape>),
    /// Readings, each as likely as any other.
    Rows(Rows),
}

impl Process {
    fn of(within: Within) -> Process {
        Process {
            within,
            slow: vec![],
            overall: None,
        }
    }

    /// Always the same value.
    ///
    /// # Errors
    /// A value that is not finite.
    pub fn constant(value: f64) -> Result<Process, ProcessError> {
        if !value.is_finite() {
            return Err(ShapeError::NotFinite {
                name: "value",
                value,
            });
        }
        Ok(Process::of(Within::Constant(value)))
    }

    /// Normal; a standard deviation of 0 gives a constant.
    ///
    /// # Errors
    /// Parameters that are not finite, a negative standard deviation.
    pub fn normal(mean: f64, sd: f64) -> Result<Process, ProcessError> {
        if sd == 0.0 {
            return Process::constant(mean);
        }
        Ok(Process::of(Within::Normal(Normal::new(mean, sd)?)))
    }

    /// Normal with what lies outside `low..high` cut off; `mean` and `sd` are those before the cut.
    ///
    /// # Errors
    /// As [`Process::normal`], an empty range, a range that holds nothing of the normal distribution.
    pub fn truncated_normal(
        mean: f64,
        sd: f64,
        low: f64,
        high: f64,
    ) -> Result<Process, ProcessError> {
        Ok(Process::shaped(
            "truncated_normal",
            Arc::new(TruncatedNormal::new(mean, sd, low, high)?),
        ))
    }

    /// Any value between `low` and `high` equally likely.
    ///
    /// # Errors
    /// An empty range, ends that are not finite.
    pub fn uniform(low: f64, high: f64) -> Result<Process, ProcessError> {
        Ok(Process::shaped(
            "uniform",
            Arc::new(Uniform::new(low, high)?),
        ))
    }

    /// Triangular with the most likely value `mode`.
    ///
    /// # Errors
    /// An empty range, a mode outside it.
    pub fn triangular(low: f64, mode: f64, high: f64) -> Result<Process, ProcessError> {
        Ok(Process::shaped(
            "triangular",
            Arc::new(Triangular::new(low, mode, high)?),
        ))
    }

    /// Lognormal above `origin`; `mean` and `sd` are those of the value itself.
    ///
    /// # Errors
    /// A mean not above the origin, a standard deviation that is not positive.
    pub fn lognormal(mean: f64, sd: f64, origin: f64) -> Result<Process, ProcessError> {
        Ok(Process::shaped(
            "lognormal",
            Arc::new(Lognormal::with_moments(mean, sd, origin)?),
        ))
    }

    /// Any shape, under the name by which a scenario states it.
    pub fn shaped(name: &'static str, shape: Arc<dyn Shape>) -> Process {
        if let Some(normal) = shape.as_normal() {
            return Process::of(Within::Normal(normal));
        }
        Process::of(match QuantileTable::new(shape.as_ref()) {
            Some(table) => Within::Tabled(name, shape, Arc::new(table)),
            None => Within::Shaped(name, shape),
        })
    }

    /// Readings drawn again, each as likely as any other. Processes of one lot that are given the same scores take the
    /// same row of the file, so that a part keeps its readings together.
    ///
    /// # Errors
    /// No reading, one that is not finite.
    pub fn rows(readings: Arc<[f64]>) -> Result<Process, ProcessError> {
        Ok(Process::of(Within::Rows(Rows::new(readings)?)))
    }

    /// The same process with slow parts added to the scatter from part to part; they leave the mean where it is.
    ///
    /// # Errors
    /// Readings drawn again, which hold their lots already; more than one slow part of a kind; numbers that are not finite.
    pub fn with_slow(mut self, slow: Vec<Slow>) -> Result<Process, ProcessError> {
        if self.is_resampled() && !slow.is_empty() {
            return Err(ShapeError::SlowReadings);
        }
        self.overall = slow::overall(self.arc(), self.mean(), &slow)?;
        self.slow = slow;
        Ok(self)
    }

    /// Name of the shape of the scatter from part to part, as a scenario states it.
    pub fn shape_name(&self) -> &'static str {
        match &self.within {
            Within::Constant(_) => "constant",
            Within::Normal(_) => "normal",
            Within::Shaped(name, _) | Within::Tabled(name, ..) => name,
            Within::Rows(_) => "readings",
        }
    }

    /// The shape of the scatter from part to part, or `None` for a constant.
    pub fn within_shape(&self) -> Option<&dyn Shape> {
        match &self.within {
            Within::Constant(_) => None,
            Within::Normal(normal) => Some(normal),
            Within::Shaped(_, shape) | Within::Tabled(_, shape, _) => Some(shape.as_ref()),
            Within::Rows(rows) => Some(rows),
        }
    }

    /// The distribution of all parts, or `None` where every part comes out the same.
    pub fn shape(&self) -> Option<&dyn Shape> {
        match &self.overall {
            Some(overall) => Some(overall.as_ref()),
            None => self.within_shape(),
        }
    }

    /// The shape of the scatter from part to part, shared.
    fn arc(&self) -> Option<Arc<dyn Shape>> {
        match &self.within {
            Within::Constant(_) => None,
            Within::Normal(normal) => Some(Arc::new(*normal)),
            Within::Shaped(_, shape) | Within::Tabled(_, shape, _) => Some(shape.clone()),
            Within::Rows(rows) => Some(Arc::new(rows.clone())),
        }
    }

    /// The parts of the scatter that stay the same for many parts in a row.
    pub fn slow(&self) -> &[Slow] {
        &self.slow
    }

    /// Whether readings are drawn again.
    pub fn is_resampled(&self) -> bool {
        matches!(self.within, Within::Rows(_))
    }

    /// True when every part comes out the same.
    pub fn is_constant(&self) -> bool {
        matches!(self.within, Within::Constant(_)) && self.slow.is_empty()
    }

    /// Mean of all parts.
    pub fn mean(&self) -> f64 {
        match &self.within {
            Within::Constant(value) => *value,
            Within::Normal(normal) => normal.mean(),
            Within::Shaped(_, shape) | Within::Tabled(_, shape, _) => shape.mean(),
            Within::Rows(rows) => rows.mean(),
        }
    }

    /// Standard deviation of all parts.
    pub fn sd(&self) -> f64 {
        self.shape().map_or(0.0, Shape::sd)
    }

    /// Standard deviation from part to part, within a lot and at one state of the tool.
    pub fn within_sd(&self) -> f64 {
        self.within_shape().map_or(0.0, Shape::sd)
    }

    /// The value with probability `p` below it, over all parts.
    pub fn quantile(&self, p: f64) -> f64 {
        self.shape()
            .map_or_else(|| self.mean(), |shape| shape.quantile(p))
    }

    /// Probability of a value below `x`.
    pub fn below(&self, x: f64) -> f64 {
        match self.shape() {
            Some(shape) => shape.below(x),
            None => f64::from(u8::from(self.mean() < x)),
        }
    }

    /// Probability of a value above `x`.
    pub fn above(&self, x: f64) -> f64 {
        match self.shape() {
            Some(shape) => shape.above(x),
            None => f64::from(u8::from(self.mean() > x)),
        }
    }

    /// Whether two processes are seen to give the same values from the same scores: constants and normal ones are compared,
    /// any other counts as different.
    pub fn is_same(&self, other: &Process) -> bool {
        let plain = self.slow.is_empty() && other.slow.is_empty();
        plain
            && match (&self.within, &other.within) {
                (Within::Constant(a), Within::Constant(b)) => a == b,
                (Within::Normal(a), Within::Normal(b)) => a.mean() == b.mean() && a.sd() == b.sd(),
                _ => false,
            }
    }

    /// Mean and standard deviation of a normal scatter from part to part, `None` for any other.
    #[inline(always)]
    pub fn normal_within(&self) -> Option<(f64, f64)> {
        match &self.within {
            Within::Normal(normal) => Some((normal.mean(), normal.sd())),
            _ => None,
        }
    }

    /// The scatter from part to part for a column of scores; [`Process::add_slow`] adds the rest.
    #[inline(always)]
    pub fn fill(&self, scores: &Column, values: &mut Column) {
        match &self.within {
            Within::Constant(value) => *values = [*value; crate::BLOCK],
            Within::Normal(normal) => fill_normal(normal.mean(), normal.sd(), scores, values),
            Within::Shaped(_, shape) => {
                for (value, z) in values.iter_mut().zip(scores) {
                    *value = shape.from_score(*z);
                }
            }
            Within::Tabled(_, _, table) => table.fill(scores, values),
            Within::Rows(rows) => rows.fill(scores, values),
        }
    }

    /// Adds slow part `place` of [`Process::slow`] for a column of its scores.
    #[inline(always)]
    pub fn add_slow(&self, place: usize, scores: &Column, values: &mut Column) {
        self.slow[place].add(scores, values);
    }
}

/// Values of a normal scatter for a column of scores.
#[inline(always)]
pub fn fill_normal(mean: f64, sd: f64, scores: &Column, values: &mut Column) {
    for (value, z) in values.iter_mut().zip(scores) {
        *value = sd.mul_add(*z, mean);
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::{BLOCK, Stream, StreamId, fill_scores};

    fn processes() -> Vec<Process> {
        [
            Process::constant(6.0),
            Process::normal(30.0, 0.0025),
            Process::truncated_normal(0.14, 0.02, 0.1, 0.2),
            Process::uniform(5.97, 6.03),
            Process::triangular(0.1, 0.12, 0.2),
            Process::lognormal(0.14, 0.03, 0.05),
        ]
        .into_iter()
        .map(|p| p.expect("good parameters"))
        .collect()
    }

    fn draws(process: &Process) -> [f64; BLOCK] {
        let id = StreamId {
            seed: 11,
            point: None,
            characteristic: "golden",
            attempt: 0,
        };
        let (mut scores, mut values) = ([0.0; BLOCK], [0.0; BLOCK]);
        fill_scores(&Stream::new(id), 0, &mut scores);
        process.fill(&scores, &mut values);
        values
    }

    /// 64 golden values of each process as hex bits, so that a stream cannot change by accident.
    #[test]
    fn pinned_draws_of_every_process() {
        let mut lines = String::new();
        for process in processes() {
            for value in &draws(&process)[..64] {
                lines += &format!("{} {:016x}\n", process.shape_name(), value.to_bits());
            }
        }
        let path = concat!(env!("CARGO_MANIFEST_DIR"), "/tests/golden/draws.txt");
        if std::env::var_os("UPDATE_GOLDEN").is_some() {
            std::fs::write(path, &lines).expect("the golden file can be written");
        }
        let golden = std::fs::read_to_string(path).expect("the golden file can be read");
        assert!(
            lines == golden,
            "draws differ from {path}; raise STREAM_VERSION if that is meant"
        );
    }

    #[test]
    fn values_rise_with_their_scores() {
        let mut scores = [0.0; BLOCK];
        for (i, z) in scores.iter_mut().enumerate() {
            *z = (i as f64 - 127.5) / 15.0;
        }
        for process in processes() {
            let mut values = [0.0; BLOCK];
            process.fill(&scores, &mut values);
            for (i, pair) in values.windows(2).enumerate() {
                // Far out, the values of a cut shape differ by less than a float can carry.
                let strictly = !process.is_constant() && scores[i].abs() < 4.0;
                assert!(
                    pair[1] > pair[0] || (!strictly && pair[1] == pair[0]),
                    "{} at {i}: {pair:?}",
                    process.shape_name()
                );
            }
        }
    }

    #[test]
    fn draws_have_the_mean_and_sd_that_the_process_states() {
        for process in processes() {
            let id = StreamId {
                seed: 5,
                point: None,
                characteristic: process.shape_name(),
                attempt: 0,
            };
            let stream = Stream::new(id);
            let (mut scores, mut values) = ([0.0; BLOCK], [0.0; BLOCK]);
            let (mut sum, mut squares) = (0.0, 0.0);
            for block in 0..1_000 {
                fill_scores(&stream, block, &mut scores);
                process.fill(&scores, &mut values);
                for value in values {
                    sum += value - process.mean();
                    squares += (value - process.mean()).powi(2);
                }
            }
            let n = 1_000.0 * BLOCK as f64;
            // Five standard errors of the mean, odds 6e-7 a process; 2 % for the sd, far beyond its error here.
            assert!(
                (sum / n).abs() <= 5.0 * process.sd() / n.sqrt(),
                "{process:?}: {}",
                sum / n
            );
            assert!(
                ((squares / n).sqrt() - process.sd()).abs() <= 0.02 * process.sd(),
                "{process:?}"
            );
        }
    }

    #[test]
    fn draws_agree_with_an_independent_sampler_in_distribution() {
        use rand_distr::{Distribution, LogNormal, Normal, Triangular, Uniform};
        let id = StreamId {
            seed: 9,
            point: None,
            characteristic: "peer",
            attempt: 0,
        };
        let mut words = Stream::new(id).words_from(0);
        let log = libm::log(1.0 + (0.03_f64 / 0.09).powi(2));
        let lognormal = LogNormal::new(libm::log(0.09) - 0.5 * log, log.sqrt()).expect("good");
        let peers: Vec<(Process, Vec<f64>)> = vec![
            {
                let peer = Normal::new(30.0, 0.0025).expect("good");
                (
                    Process::normal(30.0, 0.0025).expect("good"),
                    sample(&peer, &mut words),
                )
            },
            {
                let peer = Uniform::new(5.97, 6.03).expect("good");
                (
                    Process::uniform(5.97, 6.03).expect("good"),
                    sample(&peer, &mut words),
                )
            },
            {
                let peer = Triangular::new(0.1, 0.2, 0.12).expect("good");
                (
                    Process::triangular(0.1, 0.12, 0.2).expect("good"),
                    sample(&peer, &mut words),
                )
            },
            {
                let peer: Vec<f64> = sample(&lognormal, &mut words)
                    .iter()
                    .map(|x| x + 0.05)
                    .collect();
                (Process::lognormal(0.14, 0.03, 0.05).expect("good"), peer)
            },
        ];
        fn sample(peer: &impl Distribution<f64>, words: &mut crate::Words) -> Vec<f64> {
            (0..40_000).map(|_| peer.sample(words)).collect()
        }
        for (process, mut peer) in peers {
            peer.sort_by(f64::total_cmp);
            let n = peer.len() as f64;
            let distance = peer
                .iter()
                .enumerate()
                .map(|(i, &x)| (process.below(x) - (i as f64 + 0.5) / n).abs())
                .fold(0.0, f64::max);
            // Kolmogorov-Smirnov: odds of more than 2.5/sqrt n are 2 exp(-12.5) = 7e-6.
            assert!(
                distance < 2.5 / n.sqrt(),
                "{}: {distance}",
                process.shape_name()
            );
        }
    }
}
