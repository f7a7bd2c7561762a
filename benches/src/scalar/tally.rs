//! The run of the scalar path: draws, and what is kept of the outputs: all that a run of the program keeps.

use capability::tally::{BINS, Frame};
use fit::VERDICTS;
use rand::SeedableRng;
use rand::rngs::SmallRng;
use rand_distr::{Distribution, StandardNormal};

use super::ScalarJoint;

/// Bins of draw-up within a set of broken limits.
const DRAW_UP_BINS: usize = 128;

/// Mean, second to fourth central moments, extremes and histogram of one output.
#[derive(Debug, Clone)]
pub struct Followed {
    mean: f64,
    /// Sums of the second to fourth powers of the deviations from the mean.
    powers: [f64; 3],
    least: f64,
    most: f64,
    from: f64,
    per_bin: f64,
    bins: Vec<u32>,
}

/// What a run of the scalar path leaves.
#[derive(Debug, Clone)]
pub struct Tally {
    /// Pairings.
    pub pairings: u64,
    /// Counts by verdict.
    pub verdicts: [u64; VERDICTS],
    /// Counts by set of broken limits, and within by draw-up.
    pub sets: Vec<[u32; DRAW_UP_BINS]>,
    /// The outputs, in the order of [`super::OUTPUTS`].
    pub outputs: [Followed; 4],
}

impl Followed {
    fn new(frame: &Frame) -> Followed {
        Followed {
            mean: 0.0,
            powers: [0.0; 3],
            least: f64::INFINITY,
            most: f64::NEG_INFINITY,
            from: frame.from,
            per_bin: BINS as f64 / (frame.to - frame.from),
            bins: vec![0; BINS],
        }
    }

    /// Welford's step (1962) with the third and fourth power, as Pebay (2008) states it; `n` is the number of values, this one
    /// included, `inverse` one over it. Values outside go to the end bins. Returns the bin.
    #[inline]
    fn add(&mut self, value: f64, n: f64, inverse: f64) -> usize {
        let deviation = value - self.mean;
        let step = deviation * inverse;
        let square = step * step;
        let term = deviation * step * (n - 1.0);
        self.mean += step;
        self.powers[2] += term * square * (n * n - 3.0 * n + 3.0) + 6.0 * square * self.powers[0]
            - 4.0 * step * self.powers[1];
        self.powers[1] += term * step * (n - 2.0) - 3.0 * step * self.powers[0];
        self.powers[0] += term;
        self.least = self.least.min(value);
        self.most = self.most.max(value);
        let bin = (((value - self.from) * self.per_bin) as usize).min(BINS - 1);
        self.bins[bin] += 1;
        bin
    }

    /// Mean.
    pub fn mean(&self) -> f64 {
        self.mean
    }

    /// Standard deviation of `n` values.
    pub fn sd(&self, n: u64) -> f64 {
        (self.powers[0] / (n as f64 - 1.0)).sqrt()
    }

    /// Values counted.
    pub fn counted(&self) -> u64 {
        self.bins.iter().map(|&n| u64::from(n)).sum()
    }
}

/// Draws and solves that many pairings, one by one. Scores by the ziggurat of `rand_distr` from xoshiro256++, which is
/// what rand's small generator is on a 64-bit machine.
///
/// `frames` say where the bins of the four outputs lie.
pub fn simulate(joint: &ScalarJoint, frames: &[Frame; 4], pairings: u64, seed: u64) -> Tally {
    let mut rng = SmallRng::seed_from_u64(seed);
    let mut tally = Tally {
        pairings,
        verdicts: [0; VERDICTS],
        sets: vec![[0; DRAW_UP_BINS]; super::SETS],
        outputs: frames.each_ref().map(Followed::new),
    };
    let mut inputs = joint.constant;
    for i in 1..=pairings {
        for &(input, mean, sd) in &joint.normals {
            let score: f64 = StandardNormal.sample(&mut rng);
            inputs[input] = mean + sd * score;
        }
        let answer = joint.solve(&inputs);
        tally.verdicts[answer.verdict.index()] += 1;
        let (n, inverse) = (i as f64, 1.0 / i as f64);
        let mut bins = [0; 4];
        for ((followed, value), bin) in
            (tally.outputs.iter_mut().zip(answer.outputs)).zip(&mut bins)
        {
            *bin = followed.add(value, n, inverse);
        }
        tally.sets[answer.broken][bins[0] / (BINS / DRAW_UP_BINS)] += 1;
    }
    tally
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn welford_gives_mean_and_deviation() {
        let frame = Frame {
            from: 0.0,
            to: 8.0,
            shift: 0.0,
            atom: None,
        };
        let mut followed = Followed::new(&frame);
        for (i, value) in [2.0, 4.0, 4.0, 4.0, 5.0, 5.0, 7.0, 9.0]
            .into_iter()
            .enumerate()
        {
            let n = i as f64 + 1.0;
            followed.add(value, n, 1.0 / n);
        }
        assert!((followed.mean() - 5.0).abs() < 1e-14);
        // By hand: 32, 42 and 356.
        let powers = [32.0, 42.0, 356.0];
        for (got, expected) in followed.powers.into_iter().zip(powers) {
            assert!((got - expected).abs() < 1e-12, "{got} for {expected}");
        }
        assert_eq!((followed.least, followed.most), (2.0, 9.0));
        assert!((followed.sd(8) - (32.0_f64 / 7.0).sqrt()).abs() < 1e-14);
        assert_eq!(followed.counted(), 8);
        assert_eq!(followed.bins[BINS - 1], 1, "9 lies above the last bin");
        assert_eq!(followed.bins[512], 1, "2 of 8 is a quarter of the way");
    }

    /// Twenty thousand pairings against 78.44 % (pinned, four million pairings of the product); 6 standard deviations of the share of good ones: a false alarm in 5e8.
    #[test]
    fn the_share_of_good_joints_is_that_of_the_scenario() {
        let plan = crate::plan(1).expect("the benchmark's scenario");
        let joint = ScalarJoint::new(&plan).expect("a joint that this path knows");
        let frames = crate::frames(&plan).expect("four outputs");
        let n = 20_000;
        let tally = simulate(&joint, &frames, n, 3);
        assert_eq!(tally.verdicts.iter().sum::<u64>(), n);
        let in_sets = tally.sets.iter().flatten().map(|&n| u64::from(n));
        assert_eq!(in_sets.sum::<u64>(), n);
        assert!(tally.outputs.iter().all(|o| o.counted() == n));
        let good = tally.verdicts[fit::Verdict::Good.index()] as f64 / n as f64;
        let (expected, sd) = (0.7844, (0.7844 * 0.2156 / n as f64).sqrt());
        assert!((good - expected).abs() < 6.0 * sd, "{good}");
    }
}
