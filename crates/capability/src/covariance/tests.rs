use super::*;

const BLOCK: usize = 256;

/// Whole numbers that look random, the same everywhere: a linear congruence (D. E. Knuth's MMIX constants, recalled).
fn noise(seed: u64) -> impl Iterator<Item = f64> {
    let step = |state: &u64| {
        Some(
            state
                .wrapping_mul(6_364_136_223_846_793_005)
                .wrapping_add(1_442_695_040_888_963_407),
        )
    };
    std::iter::successors(step(&seed), step)
        .map(|word| (word >> 11) as f64 / 9_007_199_254_740_992.0 - 0.5)
}

fn layout(inputs: &[f64], outputs: &[f64]) -> Layout {
    let outputs = outputs.iter().zip(0..);
    Layout {
        inputs: inputs.to_vec(),
        outputs: outputs
            .map(|(&shift, absent_bit)| OutputPlace { shift, absent_bit })
            .collect(),
    }
}

/// The sums of a chunk that is cut into blocks of these lengths, the last of them again and again.
fn chunk(
    layout: &Layout,
    inputs: &[&[f64]],
    outputs: &[&[f64]],
    absent: &[u32],
    cuts: &[usize],
) -> ChunkSums {
    let mut sums = ChunkSums::new(layout);
    let (mut from, mut cuts) = (0, cuts.iter());
    let mut cut = BLOCK;
    while from < absent.len() {
        cut = cuts.next().copied().unwrap_or(cut);
        let to = (from + cut).min(absent.len());
        let part = |columns: &[&[f64]]| -> Vec<Vec<f64>> {
            columns
                .iter()
                .map(|column| {
                    let mut lanes = column[from..to].to_vec();
                    // What lies beyond the lanes that count is left over from another block.
                    lanes.resize(cut, f64::NAN);
                    lanes
                })
                .collect()
        };
        let (x, y) = (part(inputs), part(outputs));
        let mut masks = absent[from..to].to_vec();
        masks.resize(cut, 0);
        let x: Vec<&[f64]> = x.iter().map(Vec::as_slice).collect();
        let y: Vec<&[f64]> = y.iter().map(Vec::as_slice).collect();
        sums.add(layout, &x, &y, &masks, to - from);
        from = to;
    }
    sums
}

/// The relation of one output to one input that all pairings have.
fn relation(x: &[f64], y: &[f64], shifts: [f64; 2]) -> Relation {
    let layout = layout(&[shifts[0]], &[shifts[1]]);
    let mut folded = FoldedCovariances::new(&layout);
    folded.fold(&chunk(&layout, &[x], &[y], &vec![0; x.len()], &[BLOCK]));
    folded.relation(0, 0).unwrap()
}

/// Two passes: means first, then the products of the deviations, summed with compensation.
fn two_passes(x: &[f64], y: &[f64]) -> [f64; 3] {
    let n = x.len() as f64;
    let mean = |v: &[f64]| {
        let first = v[0];
        (first, Compensated::of(v.iter().map(|v| v - first)) / n)
    };
    let (mx, my) = (mean(x), mean(y));
    let sum = |a: &[f64], ma: (f64, f64), b: &[f64], mb: (f64, f64)| {
        let products = a.iter().zip(b);
        Compensated::of(products.map(|(a, b)| (a - ma.0 - ma.1) * (b - mb.0 - mb.1)))
    };
    let (xx, yy, xy) = (sum(x, mx, x, mx), sum(y, my, y, my), sum(x, mx, y, my));
    [xy / (n - 1.0), xy / libm::sqrt(xx * yy), xy / xx]
}

fn assert_close(got: Relation, expected: [f64; 3], to: f64, what: &str) {
    let got_all = [got.covariance, got.correlation, got.slope];
    for (got, expected) in got_all.into_iter().zip(expected) {
        let got = got.unwrap();
        assert!(
            (got - expected).abs() <= to * expected.abs(),
            "{what}: {got} for {expected}"
        );
    }
}

#[test]
fn verified_anscombes_four_pictures_have_correlation_0_816_and_slope_0_500() {
    // F. J. Anscombe, Graphs in statistical analysis, The American Statistician 27 (1973) 17-21: data and figures.
    let x = [10.0, 8.0, 13.0, 9.0, 11.0, 14.0, 6.0, 4.0, 12.0, 7.0, 5.0];
    let x4 = [8.0, 8.0, 8.0, 8.0, 8.0, 8.0, 8.0, 19.0, 8.0, 8.0, 8.0];
    let pictures = [
        (
            x,
            [
                8.04, 6.95, 7.58, 8.81, 8.33, 9.96, 7.24, 4.26, 10.84, 4.82, 5.68,
            ],
        ),
        (
            x,
            [
                9.14, 8.14, 8.74, 8.77, 9.26, 8.10, 6.13, 3.10, 9.13, 7.26, 4.74,
            ],
        ),
        (
            x,
            [
                7.46, 6.77, 12.74, 7.11, 7.81, 8.84, 6.08, 5.39, 8.15, 6.42, 5.73,
            ],
        ),
        (
            x4,
            [
                6.58, 5.76, 7.71, 8.84, 8.47, 7.04, 5.25, 12.50, 5.56, 7.91, 6.89,
            ],
        ),
    ];
    for (x, y) in pictures {
        let got = relation(&x, &y, [9.0, 7.5]);
        // Printed: 11 pairs, slope 0.5, coefficient of determination 0.667 (of the four: 0.6662 to 0.6667).
        assert_eq!(got.present, 11);
        let [slope, r] = [got.slope.unwrap(), got.correlation.unwrap()];
        assert!((slope - 0.500).abs() < 5e-4, "slope {slope}");
        assert!((r - 0.816).abs() < 6e-4, "correlation {r}");
        assert!((r * r - 0.667).abs() < 1e-3, "r^2 {}", r * r);
        assert_close(got, two_passes(&x, &y), 1e-14, "two passes");
    }
}

#[test]
fn verified_slope_of_norris_has_the_certified_digits() {
    // NIST Statistical Reference Datasets, linear regression, Norris: y, x; certified slope and R-squared.
    let x = [
        0.2, 337.4, 118.2, 884.6, 10.1, 226.5, 666.3, 996.3, 448.6, 777.0, 558.2, 0.4, 0.6, 775.5,
        666.9, 338.0, 447.5, 11.6, 556.0, 228.1, 995.8, 887.6, 120.2, 0.3, 0.3, 556.8, 339.1,
        887.2, 999.0, 779.0, 11.1, 118.3, 229.2, 669.1, 448.9, 0.5,
    ];
    let y = [
        0.1, 338.8, 118.1, 888.0, 9.2, 228.1, 668.5, 998.5, 449.1, 778.9, 559.2, 0.3, 0.1, 778.1,
        668.8, 339.3, 448.9, 10.8, 557.7, 228.3, 998.0, 888.8, 119.6, 0.3, 0.6, 557.6, 339.3,
        888.0, 998.5, 778.9, 10.2, 117.6, 228.9, 668.4, 449.2, 0.2,
    ];
    for shifts in [[430.0, 430.0], [0.0, 0.0], [1000.0, -500.0]] {
        let got = relation(&x, &y, shifts);
        let [slope, r] = [got.slope.unwrap(), got.correlation.unwrap()];
        assert!((slope - 1.002_116_818_020_45).abs() < 2e-14, "{slope}");
        assert!((r * r - 0.999_993_745_883_712).abs() < 1e-14, "{}", r * r);
        assert_close(got, two_passes(&x, &y), 1e-13, "two passes");
    }
}

#[test]
fn verified_small_deviations_on_large_offsets_keep_their_digits() {
    // x = 1e6 + i/1024 and y = -1e6 + 3 i/1024, i = 0..4096: exact in binary. S_xx = n (n^2 - 1)/12 / 1024^2, slope 3.
    let n = 4096;
    let x: Vec<f64> = (0..n).map(|i| 1e6 + f64::from(i) / 1024.0).collect();
    let y: Vec<f64> = (0..n).map(|i| -1e6 + 3.0 * f64::from(i) / 1024.0).collect();
    let got = relation(&x, &y, [1e6 + 1.0, -1e6 + 5.0]);
    let n = f64::from(n);
    let of_x = n * (n * n - 1.0) / 12.0 / (1024.0 * 1024.0);
    assert_close(got, [3.0 * of_x / (n - 1.0), 1.0, 3.0], 1e-14, "line");
    // And with scatter on top, against two passes.
    let y: Vec<f64> = y.iter().zip(noise(3)).map(|(y, e)| y + e).collect();
    let got = relation(&x, &y, [1e6 + 1.0, -1e6 + 5.0]);
    assert_close(got, two_passes(&x, &y), 1e-12, "scatter");
}

#[test]
fn lanes_without_the_output_count_in_nothing_and_each_output_keeps_its_own_count() {
    let n = 1000;
    let x: Vec<f64> = noise(1).take(n).collect();
    let mut ys: Vec<Vec<f64>> = [2, 3]
        .map(|seed| noise(seed).zip(&x).map(|(e, x)| e + x).collect())
        .to_vec();
    let absent: Vec<u32> = (0..n)
        .map(|i| u32::from(i % 3 == 0) | u32::from(i % 7 == 2) << 1)
        .collect();
    for (bit, y) in ys.iter_mut().enumerate() {
        for (y, absent) in y.iter_mut().zip(&absent) {
            if absent >> bit & 1 == 1 {
                *y = f64::NAN;
            }
        }
    }
    let layout = layout(&[0.1, -3.0], &[0.0, 0.2]);
    let z: Vec<f64> = x.iter().map(|x| x * x - 3.0).collect();
    let mut folded = FoldedCovariances::new(&layout);
    folded.fold(&chunk(
        &layout,
        &[&x, &z],
        &[&ys[0], &ys[1]],
        &absent,
        &[BLOCK],
    ));
    for (output, y) in ys.iter().enumerate() {
        for (input, x) in [&x, &z].into_iter().enumerate() {
            let present = x.iter().zip(y).filter(|(_, y)| !y.is_nan());
            let (x, y): (Vec<f64>, Vec<f64>) = present.map(|(x, y)| (*x, *y)).unzip();
            let got = folded.relation(output, input).unwrap();
            assert_eq!(got.present, [666, 857][output]);
            assert_eq!(got.present as usize, y.len());
            assert_close(got, two_passes(&x, &y), 1e-11, "present pairings");
        }
    }
    assert_eq!((folded.relation(2, 0), folded.relation(0, 2)), (None, None));
}

#[test]
fn same_bits_however_a_chunk_is_cut_into_blocks() {
    let n = 65_536 - 77;
    let x: Vec<f64> = noise(1).take(n).collect();
    let y: Vec<f64> = noise(2).zip(&x).map(|(e, x)| e - 0.3 * x).collect();
    let absent: Vec<u32> = (0..n).map(|i| u32::from(i % 11 == 5)).collect();
    let layout = layout(&[0.0], &[0.0]);
    let of = |cuts: &[usize]| chunk(&layout, &[&x], &[&y], &absent, cuts);
    let whole = of(&[n]);
    for cuts in [&[256_usize][..], &[512], &[8], &[256, 1024, 8, 4096, 768]] {
        assert_eq!(of(cuts), whole, "{cuts:?}");
    }
}

#[test]
fn chunks_in_their_order_give_the_sum_of_the_whole_and_another_order_differs_in_the_last_bits_only()
{
    let n = 40_000;
    let x: Vec<f64> = noise(5).take(n).map(|x| 30.0 + x).collect();
    let y: Vec<f64> = noise(6).zip(&x).map(|(e, x)| e + 2.0 * x).collect();
    let layout = layout(&[30.0], &[60.0]);
    let chunks: Vec<ChunkSums> = x
        .chunks(2048)
        .zip(y.chunks(2048))
        .map(|(x, y)| chunk(&layout, &[x], &[y], &vec![0; x.len()], &[BLOCK]))
        .collect();
    let fold = |chunks: &mut dyn Iterator<Item = &ChunkSums>| {
        let mut folded = FoldedCovariances::new(&layout);
        chunks.for_each(|chunk| folded.fold(chunk));
        folded.relation(0, 0).unwrap()
    };
    let forward = fold(&mut chunks.iter());
    assert_eq!(fold(&mut chunks.iter()), forward);
    let expected = two_passes(&x, &y);
    assert_close(forward, expected, 1e-12, "two passes");
    let backward = fold(&mut chunks.iter().rev());
    assert_eq!(backward.present, forward.present);
    assert_close(backward, expected, 1e-12, "backward");
}

#[test]
fn what_is_not_defined_is_absent() {
    let one = relation(&[1.0], &[2.0], [0.0, 0.0]);
    assert_eq!(
        (one.present, one.covariance, one.correlation, one.slope),
        (1, None, None, None)
    );
    let flat_input = relation(
        &[0.1; 9],
        &[1.0, 2.0, 3.0, 1.0, 2.0, 3.0, 1.0, 2.0, 3.0],
        [0.0, 2.0],
    );
    assert_eq!((flat_input.correlation, flat_input.slope), (None, None));
    let flat_output = relation(&[1.0, 2.0, 3.0], &[0.1; 3], [2.0, 0.0]);
    assert_eq!(flat_output.correlation, None);
    assert!(flat_output.slope.is_some_and(|slope| slope.abs() < 1e-15));
    let nothing = FoldedCovariances::new(&layout(&[0.0], &[0.0])).relation(0, 0);
    assert_eq!(nothing.map(|r| (r.present, r.covariance)), Some((0, None)));
}
