//! Blocks against single pairings: the map of every process, slow parts, and inspection by its plain rule.

use std::sync::Arc;

use distributions::{Beta, Gamma, Mixture, Normal, Shape, SkewNormal, TwoPartNormal, Weibull};
use sampling::{
    BLOCK, Characteristic, Check, Gate, GateCounts, Order, Part, Process, Scratch, Slow, Stream,
    StreamId, score_of,
};

fn processes() -> Vec<Process> {
    let shaped =
        |name: &'static str, shape: Arc<dyn Shape>| -> Process { Process::shaped(name, shape) };
    let far = Mixture::new(vec![
        (0.5, Arc::new(Normal::new(0.0, 1.0).unwrap())),
        (0.5, Arc::new(Normal::new(1e4, 1.0).unwrap())),
    ]);
    vec![
        Process::normal(30.0, 0.0025).unwrap(),
        Process::truncated_normal(0.14, 0.02, 0.1, 0.2).unwrap(),
        Process::uniform(5.97, 6.03).unwrap(),
        Process::triangular(0.1, 0.12, 0.2).unwrap(),
        Process::lognormal(0.14, 0.03, 0.05).unwrap(),
        shaped("weibull", Arc::new(Weibull::new(2.0, 0.01, 30.0).unwrap())),
        shaped("gamma", Arc::new(Gamma::new(3.0, 1.0, 0.0).unwrap())),
        shaped("beta", Arc::new(Beta::new(2.0, 5.0, 0.0, 1.0).unwrap())),
        shaped(
            "skew_normal",
            Arc::new(SkewNormal::new(30.0, 0.004, -3.0).unwrap()),
        ),
        shaped(
            "two_part_normal",
            Arc::new(TwoPartNormal::new(5.0, 0.1, 0.3).unwrap()),
        ),
        // No table follows this one: the shape itself is asked.
        shaped("mixture", Arc::new(far.unwrap())),
    ]
}

#[test]
fn a_block_gives_the_exact_map_to_a_ten_billionth_of_the_sd() {
    for process in processes() {
        let shape = process.within_shape().unwrap();
        for block in 0..40 {
            let scores: [f64; BLOCK] = std::array::from_fn(|lane| {
                -7.4 + 14.8 * (block * BLOCK + lane) as f64 / (40 * BLOCK - 1) as f64
            });
            let mut values = [0.0; BLOCK];
            process.fill(&scores, &mut values);
            for (value, z) in values.iter().zip(&scores) {
                let exact = shape.from_score(*z);
                let allowed = 1.05e-10 * shape.sd() + 2.0 * f64::EPSILON * exact.abs();
                let error = (value - exact).abs();
                assert!(
                    error <= allowed,
                    "{} at {z}: {error:e}",
                    process.shape_name()
                );
            }
        }
    }
}

/// What a process makes of one score, in a block of its own.
fn single(process: &Process, z: f64) -> f64 {
    let mut values = [0.0; BLOCK];
    process.fill(&[z; BLOCK], &mut values);
    values[77]
}

#[test]
fn a_value_does_not_hang_on_its_lane_or_its_neighbours() {
    let rows = Process::rows((0..60).map(|i| f64::from(i * i % 61)).collect()).unwrap();
    for process in processes().into_iter().chain([rows]) {
        let scores: [f64; BLOCK] = std::array::from_fn(|i| (i as f64 - 63.7) * 0.11);
        let mut values = [0.0; BLOCK];
        process.fill(&scores, &mut values);
        for (value, z) in values.iter().zip(&scores) {
            let alone = single(&process, *z);
            assert_eq!(value.to_bits(), alone.to_bits(), "{process:?} at {z}");
        }
    }
}

#[test]
fn wear_of_a_block_is_the_wear_of_single_scores() {
    let wear = Slow::Wear {
        ramp: 0.013,
        parts: 150,
    };
    let process = Process::constant(0.0).unwrap().with_slow(vec![wear]);
    let part = Part::new(7, vec![of(process.unwrap(), None)], vec![]);
    let fill = |order| {
        let mut columns = [[0.0; BLOCK]];
        let (mut scratch, mut counts) = (Scratch::default(), GateCounts::default());
        part.fill(0, BLOCK, order, &mut columns, &mut scratch, &mut counts);
        columns[0]
    };
    let (stock, pairs) = (fill(Order::Stock), fill(Order::Pairs));
    for i in 0..BLOCK / 2 {
        assert_eq!(pairs[2 * i].to_bits(), stock[i].to_bits());
    }
}

fn of(process: Process, gate: Option<Gate>) -> Characteristic {
    Characteristic {
        name: "a.size".to_owned(),
        column: 0,
        process,
        stream: "a.size".to_owned(),
        gate,
    }
}

fn stream(name: &str, attempt: u32) -> Stream {
    Stream::new(StreamId {
        seed: 7,
        point: None,
        characteristic: name,
        attempt,
    })
}

/// The rule in words: a part is made; where the reading lies outside and the part is picked, it is scrapped and made again.
fn by_the_rule(
    index: u64,
    process: &Process,
    gate: &Gate,
    share: f64,
    counts: &mut GateCounts,
) -> f64 {
    for attempt in 0.. {
        let value = single(process, score_of(&stream("a.size", attempt), index));
        let error = score_of(&stream("a.size.gauge", attempt), index);
        let reading = gate.gauge_sd.mul_add(error, value);
        let word = stream("a.size.picked", attempt).word(index) >> 11;
        let picked = (word as f64) < share * 9_007_199_254_740_992.0;
        let refused = !gate.accepts(reading) && picked;
        let good = gate.is_good(value);
        counts.made += 1;
        counts.scrapped += u64::from(refused);
        counts.wrongly_scrapped += u64::from(refused && good);
        counts.wrongly_passed += u64::from(!refused && !good);
        if !refused {
            return value;
        }
    }
    f64::NAN
}

#[test]
fn inspected_blocks_are_those_of_the_plain_rule_pairing_by_pairing() {
    for (check, share) in [(Check::Every, 1.0), (Check::Share(0.7), 0.7)] {
        // More than half are refused, so that parts reach attempts whose streams are not kept.
        let gate = Gate {
            gauge_sd: 0.004,
            accepted: (5.99, 6.003),
            drawing: (5.988, 6.005),
            check,
        };
        let process = Process::uniform(5.97, 6.03).unwrap();
        let part = Part::new(7, vec![of(process.clone(), Some(gate.clone()))], vec![]);
        let mut columns = [[0.0; BLOCK]];
        let (mut scratch, mut counts) = (Scratch::default(), GateCounts::default());
        let mut expected = GateCounts::default();
        for number in 0..6_u64 {
            // The last block counts in part, and is made whole.
            let len = if number == 5 { 50 } else { BLOCK };
            part.fill(
                number,
                len,
                Order::Stock,
                &mut columns,
                &mut scratch,
                &mut counts,
            );
            for (lane, value) in columns[0].iter().enumerate() {
                let mut one = GateCounts::default();
                let index = number * BLOCK as u64 + lane as u64;
                let alone = by_the_rule(index, &process, &gate, share, &mut one);
                assert_eq!(value.to_bits(), alone.to_bits(), "pairing {index}");
                if lane < len {
                    expected.merge(&one);
                }
            }
        }
        assert_eq!(counts, expected);
        assert!(counts.scrapped > counts.made / 3, "{counts:?}");
    }
}
