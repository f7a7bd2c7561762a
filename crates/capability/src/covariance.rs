//! Covariances of outputs with inputs: which input drives an output, and by how much.
//!
//! Sums of products of deviations are kept in eight fixed lanes over one chunk, so that they come out the same whatever the
//! width of the vector unit, and the chunks are folded in their order with compensation, as the sums of [`crate::tally`].
//!
//! A pairing whose output is not defined counts neither in the sums of that output nor in those of the inputs against
//! it: covariance, correlation and slope are those of the pairings that have the output.
//!
//! No run uses this yet. A study of drivers needs: a [`Layout`] with the mean of every drawn input (known from its process) and
//! the shift of every output's frame; a [`ChunkSums`] beside the sums of the outputs in the chunk, to which the kernel adds the
//! columns of inputs and outputs of every solved block; and a [`FoldedCovariances`] beside the sums that the run folds in
//! the order of the chunks.

use crate::sum::Compensated;

const LANES: usize = 8;

/// A spread below this part of the raw sum of squares is rounding: the measure of [`crate::moments::Moments`].
const ROUNDING: f64 = 1e-11;

/// An output: the value that its deviations are taken from, and its bit in the masks of what is absent.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct OutputPlace {
    /// Value near its mean, within a few standard deviations.
    pub shift: f64,
    /// Bit of the masks that is set where the output is not defined.
    pub absent_bit: u32,
}

/// Which inputs and outputs are followed.
#[derive(Debug, Clone, PartialEq)]
pub struct Layout {
    /// Of every input a value near its mean, within a few standard deviations.
    pub inputs: Vec<f64>,
    /// The outputs.
    pub outputs: Vec<OutputPlace>,
}

/// Lanes of one input against one output: `dx`, `dx^2`, `dx dy`.
#[derive(Debug, Clone, Copy, PartialEq, Default)]
struct Cross {
    x: [f64; LANES],
    xx: [f64; LANES],
    xy: [f64; LANES],
}

/// Lanes of one output: `dy`, `dy^2`; and how many pairings have it.
#[derive(Debug, Clone, Copy, PartialEq, Default)]
struct Own {
    y: [f64; LANES],
    yy: [f64; LANES],
    present: u64,
}

/// Sums over one chunk.
#[derive(Debug, Clone, PartialEq)]
pub struct ChunkSums {
    own: Vec<Own>,
    /// Output by output, within it input by input.
    cross: Vec<Cross>,
}

impl ChunkSums {
    /// Nothing added.
    pub fn new(layout: &Layout) -> ChunkSums {
        ChunkSums {
            own: vec![Own::default(); layout.outputs.len()],
            cross: vec![Cross::default(); layout.outputs.len() * layout.inputs.len()],
        }
    }

    /// Adds the first `len` lanes of a block: one column for every input and output of the layout, and the masks of
    /// what is absent. `len` is a multiple of eight in all blocks of a chunk but the last, so that every pairing of
    /// the chunk keeps its lane however the chunk is cut.
    ///
    /// # Panics
    ///
    /// When a column is shorter than `len`.
    #[inline(always)]
    pub fn add(
        &mut self,
        layout: &Layout,
        inputs: &[&[f64]],
        outputs: &[&[f64]],
        absent: &[u32],
        len: usize,
    ) {
        let columns = layout.outputs.iter().zip(outputs).zip(&mut self.own);
        let crosses = self.cross.chunks_exact_mut(layout.inputs.len().max(1));
        for ((place, y), own) in columns {
            add_own(&y[..len], &absent[..len], place, own);
        }
        for ((place, y), crosses) in layout.outputs.iter().zip(outputs).zip(crosses) {
            for ((x, shift), cross) in inputs.iter().zip(&layout.inputs).zip(crosses) {
                add_cross(&x[..len], *shift, &y[..len], &absent[..len], place, cross);
            }
        }
    }
}

/// Adds one column of an output.
#[inline(always)]
fn add_own(y: &[f64], absent: &[u32], place: &OutputPlace, own: &mut Own) {
    let mut sums = *own;
    let whole = y.len() - y.len() % LANES;
    for (y, absent) in y.chunks_exact(LANES).zip(absent.chunks_exact(LANES)) {
        for j in 0..LANES {
            add_to_own(&mut sums, j, y[j], absent[j], place);
        }
    }
    for (j, (y, absent)) in y[whole..].iter().zip(&absent[whole..]).enumerate() {
        add_to_own(&mut sums, j, *y, *absent, place);
    }
    *own = sums;
}

#[inline(always)]
fn add_to_own(sums: &mut Own, j: usize, y: f64, absent: u32, place: &OutputPlace) {
    let missing = absent >> place.absent_bit & 1;
    let dy = if missing == 0 { y - place.shift } else { 0.0 };
    sums.y[j] += dy;
    sums.yy[j] += dy * dy;
    sums.present += u64::from(1 - missing);
}

/// Adds one column of an input against one of an output.
#[inline(always)]
fn add_cross(
    x: &[f64],
    shift: f64,
    y: &[f64],
    absent: &[u32],
    place: &OutputPlace,
    cross: &mut Cross,
) {
    let mut sums = *cross;
    let whole = x.len() - x.len() % LANES;
    let columns = x.chunks_exact(LANES).zip(y.chunks_exact(LANES));
    for ((x, y), absent) in columns.zip(absent.chunks_exact(LANES)) {
        for j in 0..LANES {
            add_to_cross(&mut sums, j, x[j] - shift, y[j], absent[j], place);
        }
    }
    let columns = x[whole..].iter().zip(&y[whole..]).zip(&absent[whole..]);
    for (j, ((x, y), absent)) in columns.enumerate() {
        add_to_cross(&mut sums, j, x - shift, *y, *absent, place);
    }
    *cross = sums;
}

#[inline(always)]
fn add_to_cross(sums: &mut Cross, j: usize, dx: f64, y: f64, absent: u32, place: &OutputPlace) {
    let present = absent >> place.absent_bit & 1 == 0;
    // Chosen, not multiplied by 0: what stands in the place of an absent output may be anything, a NaN too.
    let dx = if present { dx } else { 0.0 };
    let dy = if present { y - place.shift } else { 0.0 };
    sums.x[j] += dx;
    sums.xx[j] += dx * dx;
    sums.xy[j] += dx * dy;
}

/// Sums over chunks folded in their order.
#[derive(Debug, Clone, PartialEq)]
pub struct FoldedCovariances {
    inputs: usize,
    own: Vec<FoldedOwn>,
    cross: Vec<[Compensated; 3]>,
}

#[derive(Debug, Clone, Copy, PartialEq, Default)]
struct FoldedOwn {
    y: Compensated,
    yy: Compensated,
    present: u64,
}

/// How an output hangs on an input, over the pairings that have the output.
///
/// With `n` pairings and the deviations from the means, `S_xy = sum dx dy` and so on: covariance `S_xy / (n - 1)`,
/// correlation `S_xy / sqrt(S_xx S_yy)` (K. Pearson), slope of the straight line of least squares of output on input
/// `S_xy / S_xx`. What is not defined is absent: the covariance below two pairings, slope and correlation without spread
/// of the input, the correlation also without spread of the output.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Relation {
    /// Pairings that have the output.
    pub present: u64,
    /// Unit of the input times unit of the output.
    pub covariance: Option<f64>,
    /// From -1 to 1.
    pub correlation: Option<f64>,
    /// Unit of the output over unit of the input.
    pub slope: Option<f64>,
}

impl FoldedCovariances {
    /// No chunk yet.
    pub fn new(layout: &Layout) -> FoldedCovariances {
        FoldedCovariances {
            inputs: layout.inputs.len(),
            own: vec![FoldedOwn::default(); layout.outputs.len()],
            cross: vec![Default::default(); layout.outputs.len() * layout.inputs.len()],
        }
    }

    /// Adds the next chunk.
    pub fn fold(&mut self, chunk: &ChunkSums) {
        for (folded, own) in self.own.iter_mut().zip(&chunk.own) {
            folded.y.add(own.y.iter().sum());
            folded.yy.add(own.yy.iter().sum());
            folded.present += own.present;
        }
        for (folded, cross) in self.cross.iter_mut().zip(&chunk.cross) {
            for (sum, lanes) in folded.iter_mut().zip([&cross.x, &cross.xx, &cross.xy]) {
                sum.add(lanes.iter().sum());
            }
        }
    }

    /// How output `output` hangs on input `input`, by their places in the layout; none for a place that is not there.
    ///
    /// From the sums about the shifts: `S_xy = s_xy - s_x s_y / n`, likewise `S_xx`, `S_yy`. At `k` standard deviations
    /// from the mean a shift costs a factor of about `1 + k^2` of the digits, as in [`crate::moments::Moments`].
    pub fn relation(&self, output: usize, input: usize) -> Option<Relation> {
        if input >= self.inputs {
            return None;
        }
        let own = self.own.get(output)?;
        let [x, xx, xy] = self.cross.get(output * self.inputs + input)?;
        let n = own.present as f64;
        let (x, y) = (x.value(), own.y.value());
        let about_mean = |raw: f64, a: f64, b: f64| raw - a / n * b;
        let spread = |raw: f64, sum: f64| {
            let spread = about_mean(raw, sum, sum);
            (own.present > 1 && spread > ROUNDING * raw).then_some(spread)
        };
        let product = about_mean(xy.value(), x, y);
        let (of_x, of_y) = (spread(xx.value(), x), spread(own.yy.value(), y));
        // The square roots apart: the product of two small spreads may be no number any more.
        let correlation = |of_x: f64, of_y: f64| {
            (product / (libm::sqrt(of_x) * libm::sqrt(of_y))).clamp(-1.0, 1.0)
        };
        Some(Relation {
            present: own.present,
            covariance: (own.present > 1).then(|| product / (n - 1.0)),
            correlation: of_x.zip(of_y).map(|(of_x, of_y)| correlation(of_x, of_y)),
            slope: of_x.map(|of_x| product / of_x),
        })
    }
}

#[cfg(test)]
mod tests;
