//! What the columns of a block are made of: lanes, and polynomials that a vector unit evaluates.

/// Pairings in one block.
pub const LANES: usize = 128;

/// One column of a block.
pub type Column = [f64; LANES];

/// A polynomial with `C` coefficients, constant first.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Poly<const C: usize>(pub [f64; C]);

impl<const C: usize> Poly<C> {
    /// Value at `y`.
    #[inline(always)]
    pub fn at(&self, y: f64) -> f64 {
        let mut sum = self.0[C - 1];
        for k in (0..C - 1).rev() {
            sum = sum.mul_add(y, self.0[k]);
        }
        sum
    }

    /// Taylor coefficients about `y`: those of the same polynomial in powers of the distance from `y`.
    #[inline(always)]
    pub fn about(&self, y: f64) -> Poly<C> {
        let mut terms = self.0;
        for done in 0..C - 1 {
            // Over all places and not only those that change, so that the compiler sees loops of one length.
            for k in (0..C - 1).rev() {
                let next = terms[k + 1].mul_add(y, terms[k]);
                terms[k] = if k >= done { next } else { terms[k] };
            }
        }
        Poly(terms)
    }

    /// The terms with even and those with odd powers of `y`: their sum is the value at `y`, their difference that at `-y`.
    #[inline(always)]
    pub fn even_and_odd(&self, y: f64) -> (f64, f64) {
        let square = y * y;
        let mut sums = [0.0_f64; 2];
        for k in (0..C).rev() {
            sums[k % 2] = if k + 2 < C {
                sums[k % 2].mul_add(square, self.0[k])
            } else {
                self.0[k]
            };
        }
        (sums[0], sums[1] * y)
    }

    /// The same polynomial of `scale x` as one of `x`.
    pub fn scaled(self, scale: f64) -> Poly<C> {
        let mut power = 1.0;
        Poly(self.0.map(|term| {
            let term = term * power;
            power *= scale;
            term
        }))
    }

    /// The polynomial through `f` at the Chebyshev points of `[-1, 1]`, and the largest relative error found
    /// on a fine grid.
    pub fn fit(f: impl Fn(f64) -> f64) -> (Poly<C>, f64) {
        let count = C as f64;
        let mut chebyshev = [0.0; C];
        for (k, a) in chebyshev.iter_mut().enumerate() {
            let sum: f64 = (0..C)
                .map(|j| {
                    let angle = std::f64::consts::PI * (j as f64 + 0.5) / count;
                    f(libm::cos(angle)) * libm::cos(k as f64 * angle)
                })
                .sum();
            *a = sum * if k == 0 { 1.0 } else { 2.0 } / count;
        }
        let poly = Poly(monomials(&chebyshev));
        let worst = (0..=400)
            .map(|i| {
                let y = f64::from(i) / 200.0 - 1.0;
                let exact = f(y);
                ((poly.at(y) - exact) / exact).abs()
            })
            .fold(0.0, f64::max);
        (poly, worst)
    }
}

/// Coefficients of powers from coefficients of Chebyshev polynomials (`T[k+1] = 2 y T[k] - T[k-1]`).
fn monomials<const C: usize>(chebyshev: &[f64; C]) -> [f64; C] {
    let mut sum = [0.0; C];
    let (mut before, mut now) = ([0.0; C], [0.0; C]);
    now[0] = 1.0;
    for (k, a) in chebyshev.iter().enumerate() {
        for (s, t) in sum.iter_mut().zip(&now) {
            *s += a * t;
        }
        let mut next = [0.0; C];
        let twice = if k == 0 { 1.0 } else { 2.0 };
        for i in 0..C {
            let shifted = if i == 0 { 0.0 } else { now[i - 1] };
            next[i] = twice * shifted - if k == 0 { 0.0 } else { before[i] };
        }
        (before, now) = (now, next);
    }
    sum
}

/// The larger of two numbers, without the care for NaN that costs a vector unit time.
#[inline(always)]
pub fn larger(a: f64, b: f64) -> f64 {
    if a > b { a } else { b }
}

/// The smaller of two numbers, without the care for NaN that costs a vector unit time.
#[inline(always)]
pub fn smaller(a: f64, b: f64) -> f64 {
    if a < b { a } else { b }
}

/// `1 / x` for a normal float `x` whose reciprocal is one too, to the last digit or the one before.
///
/// A guess from the bits, right to an eighth, and three steps that take its error to the third, ninth and eighteenth power.
/// Where a loop has little else to do, a vector unit takes a third of the time of its own division.
#[inline(always)]
pub fn reciprocal(x: f64) -> f64 {
    const GUESS: u64 = 0x7FDE_6238_22FC_16E6;
    let mut y = f64::from_bits(GUESS.wrapping_sub(x.to_bits()));
    for _ in 0..2 {
        let error = (-x).mul_add(y, 1.0);
        y = y.mul_add(error.mul_add(error, error), y);
    }
    y.mul_add((-x).mul_add(y, 1.0), y)
}

/// `x` clamped into `[low, high]`; `low` when the range is empty.
#[inline(always)]
pub fn clamped(x: f64, low: f64, high: f64) -> f64 {
    larger(smaller(x, high), low)
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn fit_reproduces_a_polynomial_of_its_own_degree() {
        let (poly, error) = Poly::<5>::fit(|y| 3.0 - y + 0.5 * y * y * y * y);
        assert!(error < 1e-15, "{error}");
        let expected = [3.0, -1.0, 0.0, 0.0, 0.5];
        for (got, want) in poly.0.iter().zip(expected) {
            assert!((got - want).abs() < 1e-14, "{:?}", poly.0);
        }
    }

    #[test]
    fn reciprocal_agrees_with_division() {
        for i in 1..200_000_u32 {
            let x = (0.5 + f64::from(i) / 131_072.0) * [1.0, -1e-9, 3e7][i as usize % 3];
            let error = reciprocal(x).mul_add(x, -1.0);
            assert!(error.abs() <= 2.3e-16, "1 / {x}: {error:e}");
        }
    }

    #[test]
    fn taylor_coefficients_are_those_of_the_powers() {
        // 1 + 2y + 3y^2 + 4y^3 + 5y^4 at 2: its value, and its derivatives over 1, 2, 6, 24.
        let poly = Poly([1.0, 2.0, 3.0, 4.0, 5.0]);
        assert_eq!(poly.about(2.0).0, [129.0, 222.0, 147.0, 44.0, 5.0]);
        assert_eq!(Poly([7.0, 3.0]).about(-1.0).0, [4.0, 3.0]);
        let (even, odd) = poly.even_and_odd(2.0);
        assert_eq!((even, odd), (93.0, 36.0));
        assert_eq!((even + odd, even - odd), (poly.at(2.0), poly.at(-2.0)));
    }
}
