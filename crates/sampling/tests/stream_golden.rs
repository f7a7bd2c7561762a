//! Verified: words and scores against `golden/stream.csv`, which `golden/stream.py` computes a second time in Python from
//! the doc comments alone: words in whole numbers, scores with 50 digits from the definition of Box and Muller.

use sampling::{BLOCK, Stream, StreamId, fill_scores, score_of};

/// One line of the table.
struct Line<'t> {
    id: StreamId<'t>,
    index: u64,
    word: u64,
    score: f64,
}

fn lines(table: &str) -> Vec<Line<'_>> {
    let line = |text| -> Option<Line<'_>> {
        let mut cells = str::split(text, ',');
        let line = Line {
            id: StreamId {
                seed: cells.next()?.parse().ok()?,
                point: match cells.next()? {
                    "shared" => None,
                    point => Some(point.parse().ok()?),
                },
                characteristic: cells.next()?,
                attempt: cells.next()?.parse().ok()?,
            },
            index: cells.next()?.parse().ok()?,
            word: u64::from_str_radix(cells.next()?, 16).ok()?,
            score: cells.next()?.parse().ok()?,
        };
        cells.next().is_none().then_some(line)
    };
    table
        .lines()
        .skip(1)
        .map(|text| line(text).unwrap_or_else(|| panic!("not a line of the table: {text}")))
        .collect()
}

#[test]
fn verified_words_and_scores_of_twelve_streams() {
    let lines = lines(include_str!("golden/stream.csv"));
    assert_eq!(lines.len(), 12 * 64);
    for Line {
        id,
        index,
        word,
        score,
    } in lines
    {
        let stream = Stream::new(id);
        let got = stream.word(index);
        assert_eq!(got, word, "{id:?}, word {index}: {got:#018x}");
        // The polynomials leave a score right to 1e-9.
        let got = score_of(&stream, index);
        assert!(
            (got - score).abs() <= 1e-9,
            "{id:?}, score {index}: {got} for {score}"
        );
        let mut column = [0.0; BLOCK];
        fill_scores(&stream, index / BLOCK as u64, &mut column);
        assert_eq!(column[index as usize % BLOCK], got, "{id:?}, {index}");
    }
}
