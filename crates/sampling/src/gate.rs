//! Inspection of one characteristic: what a gauge reads, and whether the part is let through.

use distributions::{Shape, normal};

use crate::process::Process;
use crate::slow::Slow;

/// Which parts are measured.
#[derive(Debug, Clone, PartialEq)]
pub enum Check {
    /// Every part.
    Every,
    /// A share of the parts, picked at random.
    Share(f64),
    /// A sample of every lot; the whole lot where the sample fails.
    Lot(LotPlan),
}

/// Sampling lot by lot: a lot passes when at most `accept` of its first `sample` parts are refused; otherwise every part of
/// it is measured.
///
/// A pairing takes its part from a lot of its own, so the lot's fate is drawn with its probability
/// `P(Binomial(sample, q) <= accept)`, where `q` is the share that the gauge refuses at the lot's own mean.
#[derive(Debug, Clone, PartialEq)]
pub struct LotPlan {
    /// Parts in a lot.
    pub size: u64,
    /// Parts in the sample.
    pub sample: u64,
    /// Probability that a lot passes, on even steps of its shift.
    passes: Vec<f64>,
    /// Largest shift in the table, on either side.
    reach: f64,
}

/// A gate through which a characteristic must pass before assembly.
#[derive(Debug, Clone, PartialEq)]
pub struct Gate {
    /// Standard uncertainty of the gauge: its error is normal with this standard deviation.
    pub gauge_sd: f64,
    /// Smallest and largest reading that are accepted.
    pub accepted: (f64, f64),
    /// Smallest and largest value that the drawing allows.
    pub drawing: (f64, f64),
    /// Which parts are measured.
    pub check: Check,
}

impl Gate {
    /// Whether a reading is accepted.
    #[inline(always)]
    pub fn accepts(&self, reading: f64) -> bool {
        (self.accepted.0 <= reading) & (reading <= self.accepted.1)
    }

    /// Whether the drawing allows a value.
    #[inline(always)]
    pub fn is_good(&self, value: f64) -> bool {
        (self.drawing.0 <= value) & (value <= self.drawing.1)
    }
}

/// Steps of the table of lots that pass.
const STEPS: usize = 2048;

/// Nodes and weights of the gauge's error, as equal slices of its probability.
const SLICES: usize = 201;

impl LotPlan {
    /// The plan for parts of this process, measured by a gauge with these acceptance limits.
    pub fn new(
        process: &Process,
        gauge_sd: f64,
        accepted: (f64, f64),
        size: u64,
        sample: u64,
        accept: u64,
    ) -> LotPlan {
        let reach: f64 = process.slow().iter().map(most).sum();
        let steps = if reach > 0.0 { STEPS } else { 0 };
        let passes = (0..=steps).map(|i| {
            let shift = reach
                * (2.0 * i as f64 / steps.max(1) as f64 - 1.0)
                * f64::from(u8::from(steps > 0));
            let refused = refused(process, gauge_sd, accepted, shift);
            at_most(accept, sample, refused)
        });
        LotPlan {
            size,
            sample,
            passes: passes.collect(),
            reach,
        }
    }

    /// Probability that a lot with this shift passes.
    pub fn passes(&self, shift: f64) -> f64 {
        let steps = self.passes.len() - 1;
        if steps == 0 {
            return self.passes[0];
        }
        let place = ((shift / self.reach + 1.0) * 0.5 * steps as f64).clamp(0.0, steps as f64);
        let below = (place as usize).min(steps - 1);
        let part = place - below as f64;
        self.passes[below] * (1.0 - part) + self.passes[below + 1] * part
    }
}

/// The largest shift that a slow part gives to any score of a stream.
fn most(slow: &Slow) -> f64 {
    match *slow {
        Slow::Lots { sd, .. } => 8.5 * sd,
        Slow::Wear { ramp, .. } => 0.5 * libm::fabs(ramp),
    }
}

/// Share of the parts that a gauge refuses in a lot with this shift.
fn refused(process: &Process, gauge_sd: f64, accepted: (f64, f64), shift: f64) -> f64 {
    let outside = |error: f64| match process.within_shape() {
        Some(shape) => beyond(
            shape,
            accepted.0 - shift - error,
            accepted.1 - shift - error,
        ),
        None => {
            let value = process.mean() + shift + error;
            f64::from(u8::from(value < accepted.0 || value > accepted.1))
        }
    };
    if gauge_sd == 0.0 {
        return outside(0.0);
    }
    let slice = |i: usize| outside(gauge_sd * normal::quantile((i as f64 + 0.5) / SLICES as f64));
    (0..SLICES).map(slice).sum::<f64>() / SLICES as f64
}

fn beyond(shape: &dyn Shape, low: f64, high: f64) -> f64 {
    shape.below(low) + shape.above(high)
}

/// Probability of at most `accept` refused parts among `sample`, each refused with probability `q`.
fn at_most(accept: u64, sample: u64, q: f64) -> f64 {
    if q <= 0.0 || accept >= sample {
        return 1.0;
    }
    if q >= 1.0 {
        return 0.0;
    }
    distributions::beta::above(q, accept as f64 + 1.0, (sample - accept) as f64)
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn verified_acceptance_of_a_sampling_plan() {
        // ISO 2859-1, n 80, Ac 2 and n 50, c 0: chance of acceptance, common texts, recomputed from the binomial law.
        for (sample, accept, q, expected) in [
            (80, 2, 0.005, 0.9923),
            (80, 2, 0.01, 0.9534),
            (80, 2, 0.02, 0.7844),
            (80, 2, 0.05, 0.2306),
            (50, 0, 0.01, 0.6050),
            (50, 0, 0.05, 0.0769),
        ] {
            let got = at_most(accept, sample, q);
            assert!(
                (got - expected).abs() < 5e-5,
                "{sample} {accept} {q}: {got}"
            );
        }
    }

    #[test]
    fn a_lot_far_off_fails_and_a_good_one_passes() {
        let process = Process::normal(30.0, 0.001)
            .and_then(|p| {
                p.with_slow(vec![Slow::Lots {
                    sd: 0.002,
                    size: 500,
                }])
            })
            .unwrap();
        let plan = LotPlan::new(&process, 0.0005, (29.995, 30.005), 500, 20, 0);
        assert!(plan.passes(0.0) > 0.999, "{}", plan.passes(0.0));
        assert!(plan.passes(0.006) < 1e-6, "{}", plan.passes(0.006));
        let steady = Process::normal(30.0, 0.001).unwrap();
        let plan = LotPlan::new(&steady, 0.0, (29.998, 30.002), 500, 20, 0);
        let expected = libm::pow(1.0 - 2.0 * normal::below(-2.0), 20.0);
        assert!((plan.passes(0.0) - expected).abs() < 1e-12);
    }
}
