//! Inspection and streams of very long runs, up to 2^53 pairings.

use sampling::{BLOCK, GateCounts, Stream, StreamId, fill_scores, score_of};

#[test]
fn gates_count_on_to_400_parts_made_for_each_of_2_to_53_pairings() {
    // 400 is the most attempts; copies merged double the counts.
    let mut counts = GateCounts {
        made: 400,
        scrapped: 399,
        wrongly_scrapped: 1,
        wrongly_passed: 1,
    };
    for _ in 0..53 {
        let part = counts;
        counts.merge(&part);
    }
    counts.merge(&GateCounts {
        made: 1,
        ..GateCounts::default()
    });
    let expected = GateCounts {
        made: (400 << 53) + 1,
        scrapped: 399 << 53,
        wrongly_scrapped: 1 << 53,
        wrongly_passed: 1 << 53,
    };
    assert_eq!(counts, expected);
}

#[test]
fn the_last_block_of_2_to_53_pairings_has_scores_and_words_of_its_own() {
    let stream = Stream::new(StreamId {
        seed: 7,
        point: None,
        characteristic: "hub.half_angle",
        attempt: 0,
    });
    let last = (1_u64 << 53) / BLOCK as u64 - 1;
    let mut columns = [[0.0; BLOCK]; 3];
    for (block, column) in [0, last, last + 1].into_iter().zip(&mut columns) {
        fill_scores(&stream, block, column);
        assert!(column.iter().all(|z| z.abs() < 7.5));
        for lane in [0, 63, 64, 127] {
            let index = block * BLOCK as u64 + lane as u64;
            assert_eq!(score_of(&stream, index), column[lane]);
        }
    }
    let [first, last, beyond] = &columns;
    for ((a, b), c) in first.iter().zip(last).zip(beyond) {
        assert!(a != b && b != c && a != c);
    }
}
