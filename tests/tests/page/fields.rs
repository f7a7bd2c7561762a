//! Every text of a record that reaches the page, and how it is set.

use record::Record;

use super::fixture;

/// Name of a field, and what sets it.
pub type Field = (&'static str, fn(&mut Record, &str));

/// The fields.
pub const FIELDS: [Field; 22] = [
    ("class and slow part", |r, t| {
        let c = &mut r.characteristics[0];
        c.class = Some(t.to_owned());
        c.process.slow = vec![t.to_owned()];
    }),
    ("lots", |r, t| {
        *r = fixture::supply();
        for lots in &mut r.lot_yields {
            (lots.part, lots.paths) = (t.to_owned(), vec![t.to_owned()]);
        }
    }),
    ("inspection", |r, t| {
        *r = fixture::supply();
        for i in &mut r.inspections {
            (i.part, i.stated) = (t.to_owned(), vec![(t.to_owned(), t.to_owned())]);
        }
        for (part, _) in r.throughput.iter_mut().flat_map(|x| &mut x.made_per_good) {
            *part = t.to_owned();
        }
    }),
    ("readings and correlation", |r, t| {
        *r = fixture::supply();
        for c in &mut r.correlations {
            (c.between, c.kind) = ([t, t].map(str::to_owned), t.to_owned());
        }
        for f in &mut r.readings {
            (f.lot, f.file, f.sha256) = (t.to_owned(), t.to_owned(), t.to_owned());
            for c in &mut f.columns {
                (c.name, c.unit) = (t.to_owned(), t.to_owned());
            }
        }
        for (path, way) in r.doubt.iter_mut().flat_map(|d| &mut d.ways) {
            (*path, *way) = (t.to_owned(), t.to_owned());
        }
    }),
    ("title", |r, t| r.subject.title = t.to_owned()),
    ("supplier", |r, t| r.subject.supplier = Some(t.to_owned())),
    ("lot", |r, t| r.subject.lot = Some(t.to_owned())),
    ("notes", |r, t| r.subject.notes = Some(t.to_owned())),
    ("drawing", |r, t| {
        r.subject.drawings = [(t.to_owned(), t.to_owned())].into()
    }),
    ("scenario name", |r, t| r.scenario.name = t.to_owned()),
    ("override", |r, t| {
        r.scenario.overrides = vec![record::Override {
            path: t.to_owned(),
            value: t.to_owned(),
        }];
    }),
    ("hash", |r, t| r.scenario_hash = t.to_owned()),
    ("version", |r, t| r.program_version = t.to_owned()),
    ("warning", |r, t| r.warnings = vec![t.to_owned()]),
    ("material", |r, t| r.joint.hub.material = t.to_owned()),
    ("law", |r, t| r.joint.elastic_law = t.to_owned()),
    ("taper", |r, t| {
        let cone = r.joint.shaft.cone.as_mut();
        cone.expect("a cone").taper_stated = t.to_owned();
    }),
    ("bolt", |r, t| r.joint.bolt.size = t.to_owned()),
    ("characteristic", |r, t| {
        r.characteristics[1].words = t.to_owned()
    }),
    ("process", |r, t| {
        r.characteristics[1].process.stated = t.to_owned();
        r.characteristics[1].process.shape = t.to_owned();
    }),
    ("output", |r, t| r.outputs[5].words = t.to_owned()),
    ("reason", |r, t| {
        r.outputs[5].absent.insert("pp".to_owned(), t.to_owned());
    }),
];
