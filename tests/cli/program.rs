// The program under test, started as a user starts it: included by the tests of the command line.

use std::ffi::OsStr;
use std::path::{Path, PathBuf};
use std::process::{Command, Output};

/// The program, in a folder of its own, with an environment that says little.
pub fn program(folder: &Path) -> Command {
    let mut command = Command::new(env!("CARGO_BIN_EXE_seatyield-under-test"));
    command.current_dir(folder).env_remove("NO_COLOR");
    command
}

/// Runs the program to its end.
pub fn seatyield<S: AsRef<OsStr>>(folder: &Path, arguments: &[S]) -> Output {
    program(folder)
        .args(arguments)
        .output()
        .expect("the program starts")
}

/// The scenario that the tests run, copied into `folder` under `name`.
pub fn winch(folder: &Path, name: impl AsRef<Path>) -> PathBuf {
    let text = include_str!("winch.toml");
    let path = folder.join(name);
    std::fs::write(&path, text).expect("the scenario is written");
    path
}

/// Exit code, with all that was said when it is not the one expected.
#[track_caller]
pub fn exits(output: &Output, code: i32) {
    assert_eq!(
        output.status.code(),
        Some(code),
        "stdout: {}\nstderr: {}",
        stdout(output),
        stderr(output)
    );
}

/// What was printed.
pub fn stdout(output: &Output) -> String {
    String::from_utf8_lossy(&output.stdout).into_owned()
}

/// What was said on the side.
pub fn stderr(output: &Output) -> String {
    String::from_utf8_lossy(&output.stderr).into_owned()
}

/// Every path below a folder, links not followed.
pub fn tree(folder: &Path) -> Vec<PathBuf> {
    let mut paths = Vec::new();
    for entry in std::fs::read_dir(folder).expect("the folder is read") {
        let path = entry.expect("the entry is read").path();
        if path.symlink_metadata().is_ok_and(|found| found.is_dir()) {
            paths.extend(tree(&path));
        }
        paths.push(path);
    }
    paths.sort();
    paths
}
