//! What people see: text on the terminal, progress, and the files of a report.

pub mod capability;
pub mod console;
pub mod drawing;
pub mod ladder;
pub mod lot;
pub mod matrix;
pub mod matrix_json;
pub mod numbers;
pub mod pairs;
pub mod pairs_json;
pub mod plain;
pub mod progress;
pub mod shares;
pub mod summary;
pub mod supply;
pub mod table;
pub mod until;
pub mod words;
