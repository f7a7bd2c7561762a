//! Numbers spread evenly between 0 and 1, from scores: rows of a file and places in the life of a tool.

use std::sync::LazyLock;

use distributions::{QuantileTable, Uniform};

static EVENLY: LazyLock<QuantileTable> = LazyLock::new(|| {
    let unit = Uniform::new(0.0, 1.0).ok();
    let table = unit.and_then(|unit| QuantileTable::new(&unit));
    table.expect("an even spread has a table: the tests of this module make it")
});

/// The table of `Phi(z)`, right to 3e-11.
pub(crate) fn evenly() -> &'static QuantileTable {
    &EVENLY
}

#[cfg(test)]
mod tests {
    use super::*;
    use distributions::normal;

    #[test]
    fn the_table_is_the_normal_distribution_function() {
        for i in 0..=20_000 {
            let z = -8.0 + 16.0 * f64::from(i) / 20_000.0;
            let (got, expected) = (evenly().value(z), normal::below(z));
            assert!((got - expected).abs() <= 3e-11, "{z}: {got} for {expected}");
        }
        assert!(evenly().value(9.0) <= 1.0 && evenly().value(-9.0) >= 0.0);
    }
}
