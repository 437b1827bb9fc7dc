//! The files that come with the program, and the published cases: each is read, without an error.

use std::fs;
use std::path::Path;

use records::diag::{Diagnostic, FieldPath, WithDiagnostics};
use records::limits::validate::validate_within;
use records::record::check::check;
use records::{file, kind};

/// Everything there is to tell about a file.
fn reported(path: &Path) -> Vec<Diagnostic> {
    kind::register(&[work::KINDS, classroom::KINDS]);
    let text = file::read_text(path).unwrap();
    let kind = kind::of(&text).unwrap_or_else(|| panic!("{} is of no known kind", path.display()));
    if let Some(check) = kind.check {
        return check(&text, Some(path));
    }
    let WithDiagnostics { value, mut diagnostics } = file::record_from_text(&text, Some(path));
    let record = value.unwrap();
    diagnostics.extend(check(&record));
    let tables = FieldPath::default().field("tables");
    for (i, table) in record.tables.iter().enumerate() {
        diagnostics.extend(validate_within(table, &tables.element(i)));
    }
    diagnostics
}

#[test]
fn every_file_that_comes_along_is_read_without_an_error() {
    let mut read = 0;
    for folder in ["demo", "limits", "tests/fixtures"] {
        for entry in fs::read_dir(Path::new(env!("CARGO_MANIFEST_DIR")).join(folder)).unwrap() {
            let path = entry.unwrap().path();
            if path.extension().is_some_and(|extension| extension == "ron") {
                let errors: Vec<_> = reported(&path).into_iter().filter(Diagnostic::is_error).collect();
                assert_eq!(errors, [], "{}", path.display());
                read += 1;
            }
        }
    }
    assert!(read >= 11, "only {read} files were there");
}
