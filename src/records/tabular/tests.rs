//! Rows as the `csv` crate reads them, and where each cell stands.

use proptest::prelude::*;

use super::*;

/// Every row below the headings, its cells as text, with the line it begins on; `None` if one does not end.
fn rows_of(text: &str) -> Option<Vec<(usize, Vec<String>)>> {
    let text = format!("engine,overhaul,cylinder\n{text}");
    let mut reader = TableReader::open(text.as_bytes(), 64 * 1024).ok()?;
    let mut rows = Vec::new();
    while let Some(row) = reader.next_row().ok()? {
        let cells = (0..row.count()).filter_map(|index| row.raw(index));
        let cells = cells.map(|cell| String::from_utf8_lossy(cell).into_owned()).collect();
        rows.push((row.position(None).line, cells));
    }
    Some(rows)
}

proptest! {
    #![proptest_config(ProptestConfig::with_cases(400))]

    #[test]
    fn rows_are_taken_apart_as_csv_is(text in "[ab\", \né]{0,60}") {
        let Some(rows) = rows_of(&text) else { return Ok(()) };
        let holds = |row: &Vec<String>| row.iter().any(|cell| cell.contains(|c| c != ',' && c != ' ' && c != '\n'));
        let mut theirs = csv::ReaderBuilder::new().has_headers(false).flexible(true).from_reader(text.as_bytes());
        let theirs = theirs.records().map(|record| record.unwrap().iter().map(str::to_owned).collect());
        let theirs: Vec<Vec<String>> = theirs.filter(holds).collect();
        let ours: Vec<_> = rows.into_iter().map(|(_, cells)| cells).filter(holds).collect();
        prop_assert_eq!(ours, theirs);
    }

    #[test]
    fn no_bytes_panic(bytes in prop::collection::vec(any::<u8>(), 0..300), longest in 1_usize..200) {
        if let Ok(mut reader) = TableReader::open(bytes.as_slice(), longest) {
            while let Ok(Some(row)) = reader.next_row() {
                prop_assert!(row.line() > 0 && row.count() > 0);
                row.not_utf8().for_each(drop);
            }
        }
    }
}

#[test]
fn a_row_is_told_by_the_line_it_begins_on() {
    for ending in ["\n", "\r\n"] {
        let text =
            ["1,2", "", "", "# said,of it", "#", "3,\"4", "5\"", "#6,7,8", "\"9\",\"10\"", ""].join(ending);
        let rows = rows_of(&text).expect("it ends");
        assert_eq!(rows.iter().map(|(line, _)| *line).collect::<Vec<_>>(), [2, 7, 9, 10], "{ending:?}");
        let cells: Vec<_> = rows.iter().map(|(_, cells)| cells.join("|")).collect();
        assert_eq!(cells, ["1|2", &format!("3|4{ending}5"), "#6|7|8", "9|10"], "{ending:?}");
    }
}

#[test]
fn lines_may_end_in_carriage_returns_alone() {
    let mut reader = TableReader::open(&b"\xef\xbb\xbfa;b\r1;\"2\"\r\r3;4"[..], 100).expect("a table");
    assert_eq!(reader.headings().0, ["a", "b"]);
    let mut rows = Vec::new();
    while let Some(row) = reader.next_row().expect("read") {
        rows.push((row.line(), row.cell(0).to_vec(), row.cell(1).to_vec()));
    }
    assert_eq!(rows, [(2, b"1".to_vec(), b"2".to_vec()), (4, b"3".to_vec(), b"4".to_vec())]);
    assert_eq!(reader.bytes_read(), 17);
}

#[test]
fn what_is_no_text_or_holds_nothing_is_refused() {
    let utf_16: Vec<u8> = "\u{feff}a,b\r\n".encode_utf16().flat_map(u16::to_le_bytes).collect();
    for (bytes, said) in [
        (utf_16.as_slice(), "This file is written in UTF-16"),
        (b"a\0,\0b\0", "holds what no text has"),
        (b"", "the file is empty"),
        (b"# remarks,alone\n\n ,,\n", "the file is empty"),
    ] {
        let refused = TableReader::open(bytes, 100).unwrap_err().to_string();
        assert!(refused.contains(said), "{refused}");
    }
}

/// The work grows with the row and not with its square, and an inch mark at the very end opens nothing.
#[test]
fn a_row_may_be_wide_and_end_in_an_inch_mark() {
    let rows = rows_of(&format!("{}1,\"", "\"\",".repeat(15_000))).expect("it ends");
    assert_eq!(rows[0].1.len(), 15_002);
    let text = format!("a\n{}", "\"\",".repeat(300_000));
    let mut reader = TableReader::open(text.as_bytes(), 1_000_000).expect("a table");
    assert_eq!(reader.next_row().expect("read").map(|row| row.count()), None, "nothing is in it");
}
