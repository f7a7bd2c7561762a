//! Says in a scenario's words why a constructor of a shape refused its numbers.

use sampling::ProcessError;

use crate::problem::id;
use crate::scenario::characteristic::{Spec, short_sd};
use crate::scenario::walk::Section;

/// What is wrong: the key to blame, found, expected.
type Wrong = (String, String, String);

/// Turns what a constructor refused into a problem.
pub(crate) fn refuse(section: &Section<'_, '_>, spec: &Spec, nominal: f64, error: &ProcessError) {
    let (key, found, expected) = range(section, spec, error)
        .or_else(|| size(section, spec, nominal, error))
        .unwrap_or_else(|| {
            (
                "shape".to_owned(),
                error.to_string(),
                "finite numbers, and a standard deviation of 0 or more".to_owned(),
            )
        });
    section.bad(&id::PROCESS, &key, &found, &expected, "");
}

/// What is wrong with places: ends of a range, mode, mean, origin.
fn range(section: &Section<'_, '_>, spec: &Spec, error: &ProcessError) -> Option<Wrong> {
    let show = |value: &f64| spec.scale.show(*value);
    let from_to = |low, high| format!("range from {} to {}", show(low), show(high));
    let outside = |what: &str, value, low, high| {
        format!("{what} {} outside the {}", show(value), from_to(low, high))
    };
    Some(match error {
        ProcessError::EmptyRange { low, high } => (
            "low".to_owned(),
            format!("a {}", from_to(low, high)),
            "low below high".to_owned(),
        ),
        ProcessError::ModeOutside { mode, low, high } => (
            "mode".to_owned(),
            outside("the most likely value", mode, low, high),
            "a mode inside the range (it is the nominal where none is stated)".to_owned(),
        ),
        ProcessError::MeanOutside { mean, low, high } => (
            mean_key(section).to_owned(),
            outside("the mean", mean, low, high),
            "a mean inside the range (it is the nominal where none is stated)".to_owned(),
        ),
        ProcessError::NothingLeft { low, high, share } => {
            let held = match *share > 0.0 {
                true => format!("only {share:.1e}"),
                false => "nothing".to_owned(),
            };
            (
                "low".to_owned(),
                format!(
                    "a {} that holds {held} of the normal distribution",
                    from_to(low, high)
                ),
                "a range that holds a share of the distribution".to_owned(),
            )
        }
        ProcessError::MeanNotAboveOrigin { mean, origin } => (
            "origin".to_owned(),
            format!(
                "the origin {} at or above the mean {}",
                show(origin),
                show(mean)
            ),
            "a mean above the origin, which is the smallest possible value".to_owned(),
        ),
        _ => return None,
    })
}

/// What is wrong with sizes: standard deviations, scales, plain parameters.
fn size(
    section: &Section<'_, '_>,
    spec: &Spec,
    nominal: f64,
    error: &ProcessError,
) -> Option<Wrong> {
    let spread = |value: &f64| short_sd(spec, nominal, *value);
    let key = |name: &str| name.replace(' ', "_");
    let blamed = |name: &str| match section.has_key(&key(name)) {
        true => key(name),
        false => "shape".to_owned(),
    };
    Some(match error {
        ProcessError::SdTooLarge { sd, largest } => (
            blamed("sd"),
            format!("a standard deviation of {}", spread(sd)),
            format!(
                "less than {}, the most that the range leaves with this mean",
                spread(largest)
            ),
        ),
        ProcessError::NotPositive { name, .. } => (
            blamed(name),
            format!("{} of 0 or less", key(name)),
            format!("{} above 0", key(name)),
        ),
        ProcessError::ParameterOutside {
            name,
            value,
            low,
            high,
        } => (
            blamed(name),
            format!("{} {value}", key(name)),
            format!("{} from {low} to {high}", key(name)),
        ),
        ProcessError::SkewnessTooLarge { skewness, limit } => (
            blamed("skewness"),
            format!("a skewness of {skewness}"),
            format!("a skewness between -{limit} and {limit}"),
        ),
        _ => return None,
    })
}

/// The key that states the mean.
fn mean_key(section: &Section<'_, '_>) -> &'static str {
    ["mean", "offset"]
        .into_iter()
        .find(|key| section.has_key(key))
        .unwrap_or("shape")
}
