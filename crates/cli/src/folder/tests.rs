use super::*;
use std::fs;

fn file(name: &str, text: &str) -> File {
    File {
        name: name.to_owned(),
        bytes: text.as_bytes().to_vec(),
    }
}

fn write(path: &Path, force: bool, files: &[File]) -> Result<Option<PathBuf>, FolderError> {
    Folder::prepare(path, "abc", force)?.write(files)
}

/// Every path below, with contents: two trees are the same when these are.
fn tree(folder: &Path) -> Vec<(PathBuf, Vec<u8>)> {
    let mut all = Vec::new();
    for entry in fs::read_dir(folder).unwrap() {
        let path = entry.unwrap().path();
        let kind = fs::symlink_metadata(&path).unwrap();
        if kind.is_dir() {
            all.push((path.clone(), Vec::new()));
            all.extend(tree(&path));
        } else if kind.is_file() {
            all.push((path.clone(), fs::read(&path).unwrap()));
        } else {
            all.push((path, Vec::new()));
        }
    }
    all.sort();
    all
}

#[test]
fn a_new_folder_gets_all_files_and_nothing_is_left_beside_it() {
    let place = tempfile::tempdir().unwrap();
    let out = place.path().join("a/b/report");
    let kept = write(
        &out,
        false,
        &[file("report.html", "x"), file("summary.csv", "y")],
    )
    .unwrap();
    assert_eq!(kept, None);
    assert_eq!(fs::read(out.join("report.html")).unwrap(), b"x");
    assert_eq!(tree(place.path()).len(), 5, "a, b, report and two files");
}

#[test]
fn preparing_alone_leaves_no_trace() {
    let place = tempfile::tempdir().unwrap();
    let folder = Folder::prepare(&place.path().join("a/b/report"), "abc", false).unwrap();
    drop(folder);
    assert_eq!(tree(place.path()), Vec::new());
}

#[test]
fn an_empty_folder_is_filled() {
    let place = tempfile::tempdir().unwrap();
    let out = place.path().join("report");
    fs::create_dir(&out).unwrap();
    write(&out, false, &[file("summary.csv", "y")]).unwrap();
    assert_eq!(tree(place.path()).len(), 2);
}

#[test]
fn a_folder_with_something_else_needs_force_and_is_kept_aside() {
    let place = tempfile::tempdir().unwrap();
    let out = place.path().join("report");
    fs::create_dir(&out).unwrap();
    fs::write(out.join("notes.txt"), "mine").unwrap();
    let before = tree(place.path());
    assert!(matches!(
        write(&out, false, &[]),
        Err(FolderError::Taken { .. })
    ));
    assert_eq!(tree(place.path()), before);

    let kept = write(&out, true, &[file("summary.csv", "y")])
        .unwrap()
        .unwrap();
    assert_eq!(kept, place.path().join("report.old-1"));
    assert_eq!(fs::read(kept.join("notes.txt")).unwrap(), b"mine");
    assert!(!out.join("notes.txt").exists());
}

#[test]
fn a_replaced_report_without_other_files_goes() {
    let place = tempfile::tempdir().unwrap();
    let out = place.path().join("report");
    fs::create_dir(&out).unwrap();
    fs::write(out.join("summary.csv"), "old").unwrap();
    assert_eq!(
        write(&out, true, &[file("summary.csv", "new")]).unwrap(),
        None
    );
    assert_eq!(fs::read(out.join("summary.csv")).unwrap(), b"new");
    assert_eq!(tree(place.path()).len(), 2);
}

#[test]
fn a_file_is_never_replaced() {
    let place = tempfile::tempdir().unwrap();
    let out = place.path().join("report");
    fs::write(&out, "mine").unwrap();
    for force in [false, true] {
        assert!(matches!(
            write(&out, force, &[]),
            Err(FolderError::NotAFolder { .. })
        ));
    }
    assert_eq!(fs::read(&out).unwrap(), b"mine");
}

#[cfg(unix)]
#[test]
fn a_link_is_never_followed() {
    use std::os::unix::fs::symlink;
    let place = tempfile::tempdir().unwrap();
    let real = place.path().join("real");
    fs::create_dir(&real).unwrap();
    for target in [real.as_path(), Path::new("/dev/null"), Path::new("nowhere")] {
        let link = place.path().join("link");
        symlink(target, &link).unwrap();
        for spelled in [
            link.clone(),
            place.path().join("link/"),
            place.path().join("link/."),
        ] {
            let refused = write(&spelled, true, &[file("summary.csv", "y")]);
            assert!(
                matches!(refused, Err(FolderError::Link { .. })),
                "{refused:?}"
            );
        }
        fs::remove_file(&link).unwrap();
    }
    assert_eq!(tree(&real), Vec::new());
}

#[test]
fn places_without_a_name_of_their_own_are_refused() {
    for path in [".", "/", "..", "a/..", ""] {
        let refused = write(Path::new(path), true, &[]);
        assert!(
            matches!(refused, Err(FolderError::NotAName { .. })),
            "{path}: {refused:?}"
        );
    }
}

#[test]
fn a_parent_that_is_a_file_is_refused_before_the_run() {
    let place = tempfile::tempdir().unwrap();
    fs::write(place.path().join("f"), "x").unwrap();
    let refused = Folder::prepare(&place.path().join("f/report"), "abc", false);
    assert!(
        matches!(refused, Err(FolderError::Unwritable { .. })),
        "{refused:?}"
    );
}

#[test]
fn a_write_that_fails_half_way_leaves_the_old_report() {
    let place = tempfile::tempdir().unwrap();
    let out = place.path().join("report");
    fs::create_dir(&out).unwrap();
    fs::write(out.join("summary.csv"), "old").unwrap();
    let before = tree(place.path());
    // The second file cannot be created: the first has its name.
    let twice = [file("summary.csv", "new"), file("summary.csv", "again")];
    assert!(matches!(
        write(&out, true, &twice),
        Err(FolderError::Unwritable { .. })
    ));
    assert_eq!(tree(place.path()), before);
}
