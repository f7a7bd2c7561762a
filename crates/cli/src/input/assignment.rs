//! `--set PATH=VALUE`: one value of the scenario, changed on the command line.

use std::str::FromStr;

use study::record::Override;

/// Why a word is not an assignment.
#[derive(Debug, Clone, PartialEq, Eq, thiserror::Error)]
pub enum AssignmentError {
    /// No equals sign, or nothing before or after it.
    #[error("PATH=VALUE is due, for example bolt.torque.nominal=\"70 N*m\"")]
    Form,
}

/// A dotted path and the value as it would stand in the file.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Assignment(pub Override);

impl FromStr for Assignment {
    type Err = AssignmentError;

    fn from_str(word: &str) -> Result<Assignment, AssignmentError> {
        let (path, value) = word.split_once('=').ok_or(AssignmentError::Form)?;
        let (path, value) = (path.trim(), value.trim());
        if path.is_empty() || value.is_empty() {
            return Err(AssignmentError::Form);
        }
        Ok(Assignment(Override {
            path: path.to_owned(),
            value: value.to_owned(),
        }))
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn the_first_equals_sign_parts_path_and_value() {
        let set: Assignment = "notes = a=b".parse().unwrap();
        assert_eq!(set.0.path, "notes");
        assert_eq!(set.0.value, "a=b");
    }

    #[test]
    fn half_an_assignment_is_refused() {
        for word in ["", "=", "a=", "=b", "hub", " =b"] {
            assert_eq!(
                word.parse::<Assignment>(),
                Err(AssignmentError::Form),
                "{word}"
            );
        }
    }
}
