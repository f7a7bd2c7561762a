//! The marks that stand for one joint each, told apart by shape alone.

use std::fmt::Write;

use crate::drawing::px;

/// Shape of the mark that stands for one joint.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Mark {
    /// Small dot: a good joint.
    Dot,
    /// Filled square.
    Square,
    /// Filled diamond.
    Diamond,
    /// Triangle on its tip.
    Down,
    /// Triangle on its base.
    Up,
    /// Oblique cross.
    Cross,
    /// Upright cross.
    Plus,
    /// Lower half of a disc.
    Half,
    /// Two upright bars.
    Bars,
    /// Ring.
    Ring,
}

/// The path of a mark around `x`, `y`, about `2 r` wide.
pub fn path(mark: Mark, x: f64, y: f64, r: f64) -> String {
    let polygon = |points: &[[f64; 2]]| {
        let mut path = String::new();
        for (i, p) in points.iter().enumerate() {
            let letter = if i == 0 { 'M' } else { 'L' };
            let _ = write!(path, "{letter}{} {}", px(x + p[0] * r), px(y + p[1] * r));
        }
        path
    };
    match mark {
        Mark::Dot | Mark::Ring => {
            let r = if mark == Mark::Dot { r * 0.8 } else { r * 0.85 };
            format!(
                "M{l} {y}a{r} {r} 0 1 0 {d} 0a{r} {r} 0 1 0 -{d} 0",
                l = px(x - r),
                y = px(y),
                r = px(r),
                d = px(2.0 * r)
            )
        }
        Mark::Square => {
            polygon(&[[-0.85, -0.85], [0.85, -0.85], [0.85, 0.85], [-0.85, 0.85]]) + "Z"
        }
        Mark::Diamond => polygon(&[[0.0, -1.15], [1.15, 0.0], [0.0, 1.15], [-1.15, 0.0]]) + "Z",
        Mark::Down => polygon(&[[-1.05, -0.8], [1.05, -0.8], [0.0, 1.05]]) + "Z",
        Mark::Up => polygon(&[[-1.05, 0.8], [1.05, 0.8], [0.0, -1.05]]) + "Z",
        Mark::Cross => polygon(&[[-0.8, -0.8], [0.8, 0.8]]) + &polygon(&[[-0.8, 0.8], [0.8, -0.8]]),
        Mark::Plus => polygon(&[[0.0, -1.0], [0.0, 1.0]]) + &polygon(&[[-1.0, 0.0], [1.0, 0.0]]),
        Mark::Half => format!(
            "M{} {}a{r} {r} 0 0 0 {d} 0Z",
            px(x - r),
            px(y - r * 0.3),
            r = px(r),
            d = px(2.0 * r)
        ),
        Mark::Bars => {
            polygon(&[[-0.9, -0.9], [-0.3, -0.9], [-0.3, 0.9], [-0.9, 0.9]])
                + "Z"
                + &polygon(&[[0.3, -0.9], [0.9, -0.9], [0.9, 0.9], [0.3, 0.9]])
                + "Z"
        }
    }
}
