use super::*;

fn folder() -> tempfile::TempDir {
    tempfile::tempdir().expect("a folder for the test")
}

#[test]
fn a_file_is_written_whole_and_replaced_whole() {
    let folder = folder();
    let path = folder.path().join("engine.ron");
    write_atomic(&path, b"first").expect("written");
    write_atomic(&path, b"second").expect("replaced");
    assert_eq!(fs::read(&path).expect("read"), b"second");
    let names = fs::read_dir(folder.path()).expect("listed").count();
    assert_eq!(names, 1, "nothing is left beside it");
}

#[cfg(unix)]
#[test]
fn permissions_are_kept_and_a_link_stays_a_link() {
    use std::os::unix::fs::{PermissionsExt as _, symlink};
    let folder = folder();
    let (path, link) = (folder.path().join("engine.ron"), folder.path().join("link.ron"));
    fs::write(&path, b"first").expect("written");
    fs::set_permissions(&path, fs::Permissions::from_mode(0o640)).expect("set");
    symlink(&path, &link).expect("linked");
    write_atomic(&link, b"second").expect("replaced");
    assert!(fs::symlink_metadata(&link).expect("about").file_type().is_symlink());
    assert_eq!(fs::read(&path).expect("read"), b"second");
    assert_eq!(fs::metadata(&path).expect("about").permissions().mode() & 0o777, 0o640);
}

#[test]
fn a_read_only_file_stands_and_the_way_out_is_told() {
    let folder = folder();
    let path = folder.path().join("engine.ron");
    fs::write(&path, b"first").expect("written");
    let mut permissions = fs::metadata(&path).expect("about").permissions();
    permissions.set_readonly(true);
    fs::set_permissions(&path, permissions).expect("set");
    let error = write_atomic(&path, b"second").expect_err("refused");
    assert!(error.remedy.contains("another name"), "{error}");
    assert_eq!(fs::read(&path).expect("read"), b"first");
}

#[test]
fn a_missing_folder_is_told() {
    let error = write_atomic(&folder().path().join("none").join("engine.ron"), b"").expect_err("refused");
    assert!(error.message.contains("no such folder"), "{error}");
}

#[test]
fn a_change_by_somebody_else_is_seen_but_not_a_mere_touch() {
    let folder = folder();
    let path = folder.path().join("engine.ron");
    fs::write(&path, b"first").expect("written");
    let mut print = Fingerprint::of(&path).expect("read");
    assert_eq!(print.compare(&path), OnDisk::Same);
    print.modified = Some(SystemTime::UNIX_EPOCH);
    assert_eq!(print.compare(&path), OnDisk::Same, "another time, the same content");
    fs::write(&path, b"other").expect("written");
    assert_eq!(print.compare(&path), OnDisk::Changed);
    fs::remove_file(&path).expect("removed");
    assert_eq!(print.compare(&path), OnDisk::Gone);
    assert_eq!(Fingerprint::of(folder.path()), None, "no file");
}

/// It would never end.
#[cfg(unix)]
#[test]
fn a_device_is_not_read() {
    assert_eq!(Fingerprint::of(std::path::Path::new("/dev/zero")), None);
}

#[test]
fn the_second_window_on_a_file_is_told() {
    let folder = folder();
    let path = folder.path().join("engine.ron");
    fs::write(&path, b"").expect("written");
    let first = lock::ask(folder.path(), &path);
    assert!(matches!(first, lock::Asked::Ours(_)));
    assert!(matches!(lock::ask(folder.path(), &path), lock::Asked::InUse));
    drop(first);
    assert!(matches!(lock::ask(folder.path(), &path), lock::Asked::Ours(_)));
}

#[test]
fn a_copy_is_offered_only_when_its_window_is_gone() {
    let folder = folder();
    let keeper = recovery::Keeper::new(folder.path());
    keeper.keep(None, "an engine", "text".to_owned()).expect("kept");
    assert!(recovery::leftovers(folder.path()).is_empty(), "its window lives");
    drop(keeper);
    let left = recovery::leftovers(folder.path());
    assert_eq!(left.len(), 1);
    assert_eq!(left[0].copy.text, "text");
    left[0].discard();
    assert!(recovery::leftovers(folder.path()).is_empty());
}

#[test]
fn a_cleared_copy_leaves_nothing() {
    let folder = folder();
    let keeper = recovery::Keeper::new(folder.path());
    keeper.keep(None, "an engine", "text".to_owned()).expect("kept");
    keeper.clear();
    drop(keeper);
    assert_eq!(fs::read_dir(folder.path()).expect("listed").count(), 0);
}
