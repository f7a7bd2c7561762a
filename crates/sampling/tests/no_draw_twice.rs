//! No two pairs of draws share a word (a word gives the draws of two pairings, from bits of their own), and a draw depends on nothing but its own seed, point,
//! characteristic, attempt and pairing.

use sampling::{
    BLOCK, Characteristic, GateCounts, Order, Part, Process, Scratch, Stream, StreamId,
};

const SEEDS: [u64; 2] = [7, 8];
const POINTS: [Option<u64>; 4] = [None, Some(0), Some(1), Some(2)];
const NAMES: [&str; 9] = [
    "shaft.gauge_diameter",
    "shaft.half_angle",
    "shaft.gauge_plane",
    "hub.gauge_diameter",
    "hub.half_angle",
    "spacer.thickness",
    "contact.friction",
    "bolt.torque",
    "bolt.nut_factor",
];
const ATTEMPTS: u32 = 3;

/// Words of one stream: 216 streams make 1.1e7 draws in release, 1.1e6 otherwise.
const PAIRINGS: u64 = if cfg!(debug_assertions) {
    5_120
} else {
    51_200
};

fn ids(seed: u64) -> impl Iterator<Item = StreamId<'static>> {
    POINTS.into_iter().flat_map(move |point| {
        NAMES.into_iter().flat_map(move |characteristic| {
            (0..ATTEMPTS).map(move |attempt| StreamId {
                seed,
                point,
                characteristic,
                attempt,
            })
        })
    })
}

/// All words of these draws, as many as pairings: twice as many as a run takes.
fn words(ids: impl Iterator<Item = StreamId<'static>>) -> Vec<u64> {
    let mut words = Vec::new();
    for stream in ids.map(Stream::new) {
        for first in (0..PAIRINGS).step_by(BLOCK) {
            words.extend(stream.walk(first).take(BLOCK));
        }
    }
    words
}

#[test]
fn no_word_comes_twice_over_seeds_points_characteristics_attempts_and_pairings() {
    let mut all = words(SEEDS.into_iter().flat_map(ids));
    let draws = 2 * 4 * 9 * u64::from(ATTEMPTS) * PAIRINGS;
    assert_eq!(all.len() as u64, draws);
    all.sort_unstable();
    // Fair words would repeat among 1.1e7 with odds 3.3e-6.
    let twice = all.windows(2).find(|pair| pair[0] == pair[1]);
    assert_eq!(twice, None, "of {draws} draws");
}

#[test]
fn the_next_seed_shares_no_word() {
    let [mut one, mut next] = SEEDS.map(|seed| words(ids(seed)));
    one.sort_unstable();
    next.sort_unstable();
    let shared = next.iter().find(|word| one.binary_search(word).is_ok());
    assert_eq!(shared, None);
}

#[test]
fn streams_of_neighbouring_ids_have_different_keys() {
    // Ids that differ in one place only: for these it is certain, not only likely (see `Stream`).
    let of = |seed, point, attempt| {
        Stream::new(StreamId {
            seed,
            point,
            characteristic: "hub.half_angle",
            attempt,
        })
    };
    let by_seed = (0..100_000).map(|seed| of(seed, None, 0));
    let by_point = (0..100_000).map(|point| of(7, Some(point), 0));
    let by_attempt = (0..100_000).map(|attempt| of(7, None, attempt));
    for streams in [
        by_seed.collect::<Vec<_>>(),
        by_point.collect(),
        by_attempt.collect(),
    ] {
        let mut keys: Vec<String> = streams.iter().map(|s| format!("{s:?}")).collect();
        keys.sort_unstable();
        keys.dedup();
        assert_eq!(keys.len(), 100_000);
    }
}

/// Name, column and values of block 3 of a part whose characteristics stand in this order.
fn block_of(seed: u64, names: &[&'static str]) -> Vec<(&'static str, Vec<u64>)> {
    let characteristics = names
        .iter()
        .enumerate()
        .map(|(column, name)| Characteristic {
            name: (*name).to_owned(),
            column,
            process: Process::normal(10.0, 0.5).expect("a normal process"),
            stream: (*name).to_owned(),
            gate: None,
        });
    let part = Part::new(seed, characteristics.collect(), vec![]);
    let mut columns = vec![[0.0; BLOCK]; names.len()];
    part.fill(
        3,
        BLOCK,
        Order::Stock,
        &mut columns,
        &mut Scratch::default(),
        &mut GateCounts::default(),
    );
    let values = columns
        .iter()
        .map(|column| column.iter().map(|v| v.to_bits()).collect());
    let mut named: Vec<_> = names.iter().copied().zip(values).collect();
    named.sort_unstable();
    named
}

#[test]
fn another_order_of_the_characteristics_changes_no_draw_and_another_one_shifts_none() {
    let forward = block_of(7, &NAMES);
    let mut turned = NAMES;
    turned.reverse();
    assert_eq!(block_of(7, &turned), forward);
    turned.swap(2, 6);
    assert_eq!(block_of(7, &turned), forward);
    let fewer = block_of(7, &NAMES[2..5]);
    assert!(fewer.iter().all(|column| forward.contains(column)));
    let next_seed = block_of(8, &NAMES);
    assert!(next_seed.iter().all(|column| !forward.contains(column)));
}

#[test]
fn another_order_of_the_points_changes_no_draw() {
    let mut turned: Vec<_> = ids(7).collect();
    turned.reverse();
    let of_block = |id: &StreamId<'static>| {
        let stream = Stream::new(*id);
        stream
            .walk(3 * BLOCK as u64)
            .take(BLOCK)
            .collect::<Vec<_>>()
    };
    let forward: Vec<_> = ids(7).map(|id| of_block(&id)).collect();
    let mut backward: Vec<_> = turned.iter().map(of_block).collect();
    backward.reverse();
    assert_eq!(backward, forward);
}
