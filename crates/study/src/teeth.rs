//! Tooth errors of a spline: drawn for each part by itself, so that a part keeps its errors whatever it meets.

use fit::{Column, Teeth};
use sampling::{BLOCK, Process, Stream, StreamId};

/// How one part's teeth come off the machine.
#[derive(Debug, Clone)]
pub struct PartTeeth {
    index: Process,
    profile: Process,
    /// By tooth: index, profile of one flank, profile of the other.
    streams: Vec<[Stream; 3]>,
}

impl PartTeeth {
    /// The teeth of `part` (`shaft` or `hub`): `index` is drawn once a tooth, `profile` once a flank (mm).
    pub fn new(
        seed: u64,
        part: &str,
        teeth: usize,
        index: &Process,
        profile: &Process,
    ) -> PartTeeth {
        let stream = |characteristic: &str| {
            Stream::new(StreamId {
                seed,
                point: None,
                characteristic,
                attempt: 0,
            })
        };
        let of_tooth = |tooth: usize| {
            [
                stream(&format!("{part}.index_error/{tooth}")),
                stream(&format!("{part}.profile_error/{tooth}+")),
                stream(&format!("{part}.profile_error/{tooth}-")),
            ]
        };
        PartTeeth {
            index: index.clone(),
            profile: profile.clone(),
            streams: (0..teeth).map(of_tooth).collect(),
        }
    }

    /// Adds this part's errors in block `number` to those of the teeth.
    #[inline(always)]
    pub fn add(&self, number: u64, teeth: &mut Teeth) {
        let mut columns = [[0.0; BLOCK]; 3];
        for (tooth, streams) in self.streams.iter().enumerate() {
            let [index, plus, minus] = &mut columns;
            fill(&self.index, &streams[0], number, index);
            fill(&self.profile, &streams[1], number, plus);
            fill(&self.profile, &streams[2], number, minus);
            teeth.add(tooth, index, [plus, minus]);
        }
    }
}

#[inline(always)]
fn fill(process: &Process, stream: &Stream, number: u64, column: &mut Column) {
    let mut scores = [0.0; BLOCK];
    if !process.is_constant() {
        sampling::fill_scores(stream, number, &mut scores);
    }
    process.fill(&scores, column);
}
