//! Inspection against published misclassification; lots and wear in their orders.

use super::*;
use crate::gate::Check;
use crate::slow::Slow;

fn part(process: Process, gate: Option<Gate>) -> Part {
    let characteristic = Characteristic {
        name: "a.size".to_owned(),
        column: 0,
        process,
        stream: "a.size".to_owned(),
        gate,
    };
    Part::new(7, vec![characteristic], vec![])
}

fn run(part: &Part, blocks: u64, order: Order, mut each: impl FnMut(&Column)) -> GateCounts {
    let mut columns = [[0.0; BLOCK]];
    let (mut scratch, mut counts) = (Scratch::default(), GateCounts::default());
    for number in 0..blocks {
        part.fill(
            number,
            BLOCK,
            order,
            &mut columns,
            &mut scratch,
            &mut counts,
        );
        each(&columns[0]);
    }
    counts
}

#[test]
fn verified_misclassification_by_a_gauge() {
    // N(0, 1) against +-3 with a gauge of sd 0.5: false accept 8.448121e-4, false reject 5.4353742e-3 of the parts made
    // (bivariate normal in the form of JCGM 106:2012 clause 9, derived by quadrature).
    let gate = Gate {
        gauge_sd: 0.5,
        accepted: (-3.0, 3.0),
        drawing: (-3.0, 3.0),
        check: Check::Every,
    };
    let part = part(Process::normal(0.0, 1.0).unwrap(), Some(gate));
    let counts = run(&part, 8_000, Order::Stock, |_| {});
    let n = counts.made as f64;
    assert_eq!(counts.made - counts.scrapped, 8_000 * BLOCK as u64);
    for (name, seen, p) in [
        ("accept", counts.wrongly_passed, 8.448_121e-4),
        ("reject", counts.wrongly_scrapped, 5.435_374_2e-3),
    ] {
        let z = (seen as f64 - n * p) / (n * p * (1.0 - p)).sqrt();
        assert!(z.abs() < 5.0, "false {name}: {z} sigma (odds 6e-7)");
    }
}

#[test]
fn a_perfect_gauge_lets_nothing_bad_through_and_a_share_lets_its_part() {
    let gate = |check| {
        Some(Gate {
            gauge_sd: 0.0,
            accepted: (-2.0, 2.0),
            drawing: (-2.0, 2.0),
            check,
        })
    };
    let process = || Process::normal(0.0, 1.0).unwrap();
    let every = part(process(), gate(Check::Every));
    let counts = run(&every, 200, Order::Stock, |column| {
        assert!(column.iter().all(|x| x.abs() <= 2.0));
    });
    assert_eq!((counts.wrongly_passed, counts.wrongly_scrapped), (0, 0));
    let half = run(
        &part(process(), gate(Check::Share(0.5))),
        4_000,
        Order::Stock,
        |_| {},
    );
    // Of the parts made, p = 4.55 % are bad; half of those are found.
    let (n, p) = (half.made as f64, 0.5 * 0.045_500_263_896_358_42);
    for seen in [half.scrapped, half.wrongly_passed] {
        let z = (seen as f64 - n * p) / (n * p).sqrt();
        assert!(z.abs() < 5.0, "{z} sigma (odds 6e-7)");
    }
}

#[test]
fn lots_share_a_shift_in_production_and_differ_in_stock() {
    let process = Process::constant(5.0)
        .and_then(|p| p.with_slow(vec![Slow::Lots { sd: 0.1, size: 100 }]))
        .unwrap();
    let part = part(process, None);
    let mut values: Vec<f64> = vec![];
    run(&part, 8, Order::Production, |column| values.extend(column));
    for lot in values.chunks(100) {
        assert!(lot.iter().all(|x| *x == lot[0]));
    }
    assert_ne!(values[0], values[100]);
    let mut stock: Vec<f64> = vec![];
    run(&part, 1, Order::Stock, |column| stock.extend(column));
    assert!(stock.windows(2).all(|pair| pair[0] != pair[1]));
    let mut pairs: Vec<f64> = vec![];
    run(&part, 1, Order::Pairs, |column| pairs.extend(column));
    assert!(pairs.chunks(2).all(|pair| pair[0] == pair[1]));
    assert_ne!(pairs[0], pairs[2]);
    // The shift of lot k is the one that pairing k has in stock.
    assert_eq!(values[100], stock[1]);
}

#[test]
fn a_tool_wears_evenly_from_change_to_change() {
    let process = Process::constant(5.0)
        .and_then(|p| {
            p.with_slow(vec![Slow::Wear {
                ramp: 0.1,
                parts: 64,
            }])
        })
        .unwrap();
    let part = part(process, None);
    run(&part, 2, Order::Production, |column| {
        assert!((column[0] - (5.0 - 0.05 + 0.05 / 64.0)).abs() < 1e-15);
        assert_eq!(column[0], column[64]);
        assert!(column[..64].windows(2).all(|pair| pair[1] > pair[0]));
    });
}

#[test]
fn parts_that_are_redrawn_do_not_move_the_others() {
    let gate = Gate {
        gauge_sd: 0.0,
        accepted: (-2.0, 2.0),
        drawing: (-2.0, 2.0),
        check: Check::Every,
    };
    let (mut free, mut gated): (Vec<f64>, Vec<f64>) = (vec![], vec![]);
    let process = || Process::normal(0.0, 1.0).unwrap();
    run(&part(process(), None), 4, Order::Stock, |column| {
        free.extend(column)
    });
    run(&part(process(), Some(gate)), 4, Order::Stock, |column| {
        gated.extend(column)
    });
    for (a, b) in free.iter().zip(&gated) {
        assert!(a == b || a.abs() > 2.0, "{a} {b}");
    }
    assert_ne!(free, gated);
}
