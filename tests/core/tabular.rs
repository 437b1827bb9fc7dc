//! One table of readings, in every layout that people's programs write, given to all that read tables: a fleet, an import
//! and a gauge study take the same readings from it, and say the same of what is wrong.

use std::sync::Arc;

use classroom::study;
use quantities::length::{Length, Unit};
use records::bore::Point;
use records::diag::Diagnostic;
use records::file;
use records::limits::Limits;
use records::limits::schema::TableOfLimits;
use records::record::schema::EngineRecord;
use work::evaluation::Evaluation;
use work::exchange::csv_file;
use work::exchange::import::{Unstated, import};
use work::exchange::mapping::Mapping;
use work::fleet;

/// Invented: two stations, two axes, a bore of 5.1250 in.
const TABLE: &str = r#"(
    format: 1, identity: "TRIAL", revision: "1", engine: "Trial (invented)",
    source: Illustrative(remark: "Invented for tests."),
    stations: [(name: "Top", depth: "0.8", role: TopOfRingTravel), (name: "Low", depth: "5.0", role: BaseEnd)],
    axes: [(label: "pin", degrees: 0.0), (label: "thrust", degrees: 90.0)],
    bore: [(size: Standard, new: ("5.1250", "5.1260"), serviceable: At("5.1290"))],
    taper: (rule: AxisAverages, serviceable: At("0.0030")),
    out_of_round: (rule: PerStation, serviceable: At("0.0020")),
    wall: (surface: Plain, cut: Allowed),
    clean_up_allowance: "0.0010",
)"#;

/// A record for these readings, read with a micrometer.
const RECORD: &str = r#"(
    format: 2, engine: (model: "Trial", serial: "E1"),
    overhauls: [(date: "2024-03-01", gauges: [(name: "micrometer", reads: Diameter)],
        cylinders: [(position: "1", serial: "K-1", looked_over: true)])],
)"#;

const PLACES: [(&str, &str); 4] = [("Top", "pin"), ("Top", "thrust"), ("Low", "pin"), ("Low", "thrust")];
const READINGS: [&str; 4] = ["5.1270", "5.1272", "5.1261", "5.1262"];

/// A file, cell by cell.
struct Sheet {
    rows: Vec<Vec<String>>,
}

impl Sheet {
    /// The readings with everything that one of the three needs.
    fn plain() -> Self {
        let head = "engine,overhaul,cylinder,position,size,station,axis,repeat,reading,unit,operator,remark";
        let mut rows = vec![head.split(',').map(str::to_owned).collect::<Vec<_>>()];
        for ((station, axis), reading) in PLACES.iter().zip(READINGS) {
            let row =
                ["E1", "2024-03-01", "K-1", "1", "standard", station, axis, "1", reading, "", "Ann", ""];
            rows.push(row.map(str::to_owned).to_vec());
        }
        Self { rows }
    }

    /// Changes every cell of a column below its heading.
    fn column(mut self, heading: &str, change: impl Fn(&str) -> String) -> Self {
        let column = self.rows[0].iter().position(|known| known == heading).unwrap();
        self.rows[1..].iter_mut().for_each(|row| row[column] = change(&row[column]));
        self
    }

    fn headed(mut self, from: &str, to: &str) -> Self {
        *self.rows[0].iter_mut().find(|known| *known == from).unwrap() = to.to_owned();
        self
    }

    fn text(&self, between: &str, end: &str) -> String {
        self.rows.iter().map(|row| row.join(between) + end).collect()
    }

    fn csv(&self) -> String {
        self.text(",", "\n")
    }
}

/// As a program writes it that knows no UTF-8: `~` is a letter of its own.
fn latin(text: String) -> Vec<u8> {
    text.bytes().map(|byte| if byte == b'~' { 0xe9 } else { byte }).collect()
}

/// What came of a file: the readings, and what was said, each with its line; in the order of the three.
struct Read {
    readings: [Vec<Length>; 3],
    said: [Vec<String>; 3],
}

const THREE: [&str; 3] = ["fleet", "import", "study"];

fn read(bytes: &[u8]) -> Read {
    let table: TableOfLimits = file::from_text(TABLE, None).value.unwrap();
    let limits = Arc::new(Limits::resolve(&table).unwrap());
    let words = |said: &[Diagnostic]| said.iter().filter(|d| d.is_error()).map(ToString::to_string).collect();

    let (mut notes, mut lines) = (Vec::new(), Vec::new());
    let judged = fleet::judge_csv(bytes, Arc::clone(&limits), &mut |note| notes.push(note), &mut |line| {
        lines.push(line)
    });
    notes.extend(lines.iter().flat_map(|line| line.diagnostics.clone()));
    let mut of_fleet: Vec<String> = words(&notes);
    of_fleet.extend(judged.err().map(|error| error.to_string()));
    let points = (0..4).map(|cell| Point::new(cell / 2, cell % 2));
    let bore = lines.first().map(|line| &line.cylinder.bore);
    let in_fleet = points.filter_map(|at| bore?.cell(at)).flat_map(|cell| cell.repeats().to_vec()).collect();

    let mut record: EngineRecord = file::from_text(RECORD, None).value.unwrap();
    record.tables.push(table);
    let evaluation = Evaluation::of(&record, 0, None);
    let imported = csv_file::read(bytes)
        .and_then(|grid| import(&grid, &Mapping::of(&grid), &Unstated::default(), (&record, 0), &evaluation));
    let (mut taken, of_import) = match imported {
        Ok(import) => {
            let of = |at: &work::exchange::import::Taken| {
                let place = PLACES.iter().position(|place| *place == (at.station.as_str(), at.axis.as_str()));
                (place, at.entered.iter().map(|reading| reading.diameter).collect::<Vec<_>>())
            };
            let taken: Vec<_> = import.taken.iter().map(of).collect();
            (taken, import.refused.iter().map(|refused| refused.words()).collect())
        }
        Err(error) => (Vec::new(), vec![error.to_string()]),
    };
    taken.sort();

    let studied = study::read_csv(bytes, Unit::Inch);
    let in_study = studied.value.iter().map(|reading| reading.value).collect();
    Read {
        readings: [in_fleet, taken.into_iter().flat_map(|(_, lengths)| lengths).collect(), in_study],
        said: [of_fleet, of_import, words(&studied.diagnostics)],
    }
}

#[test]
fn every_layout_is_taken_by_all_three() {
    let millimetres = |text: &str| {
        let length = Length::parse(text, Unit::Inch).unwrap().length;
        Length::parse(&format!("{} mm", length.to_mm()), Unit::Inch).unwrap().length.to_mm().to_string()
    };
    let comma = |text: &str| text.replace('.', ",");
    let quoted = |text: &str| format!("\"{text}\"");
    let plain = Sheet::plain;
    let layouts: Vec<(&str, Vec<u8>)> = vec![
        ("plain", plain().csv().into()),
        ("semicolons, decimal comma", plain().column("reading", comma).text(";", "\n").into()),
        ("semicolons, decimal point", plain().text(";", "\n").into()),
        ("tabs, decimal comma", plain().column("reading", comma).text("\t", "\n").into()),
        ("byte-order mark, CRLF", format!("\u{feff}{}", plain().text(";", "\r\n")).into()),
        ("carriage returns alone", plain().text(",", "\r").into()),
        ("no end of the last line", plain().csv().trim_end().into()),
        (
            "every cell quoted",
            plain()
                .column("remark", |_| "a, \"\"b\"\"\nc".into())
                .text("\",\"", "\"\r\n\"")
                .trim_end_matches('"')
                .replacen("engine", "\"engine", 1)
                .into(),
        ),
        ("quoted decimal comma", plain().column("reading", comma).column("reading", quoted).csv().into()),
        (
            "quoted separators in a heading",
            plain()
                .headed(
                    "remark",
                    "\"remark; or; not; and; so; on; for; a; while; more; and; more; and; more\"",
                )
                .csv()
                .into(),
        ),
        ("blanks around cells", plain().text(" , ", " \n").into()),
        ("blank rows and remarks", {
            let rows = plain().csv().replace('\n', "\n\n,,,,,,,,,,,\n# a remark, of two parts\n");
            format!("# from the bench\n\n{rows}").into()
        }),
        ("cells of nothing beyond the headings", {
            let text = plain().text(";", ";;\n");
            text.replacen(";;\n", "\n", 1).into()
        }),
        ("another order", {
            let mut sheet = plain();
            sheet.rows.iter_mut().for_each(|row| row.reverse());
            sheet.csv().into()
        }),
        ("capitals", plain().headed("reading", "READING").headed("station", " Station ").csv().into()),
        ("other names", {
            let names = [
                ("engine", "ESN"),
                ("overhaul", "Inspection"),
                ("cylinder", "S/N"),
                ("position", "Pos."),
                ("size", "Oversize"),
                ("station", "Level"),
                ("axis", "Direction"),
                ("repeat", "Trial"),
                ("reading", "Measured"),
                ("unit", "UOM"),
                ("operator", "Appraiser"),
            ];
            names.iter().fold(plain(), |sheet, (from, to)| sheet.headed(from, to)).csv().into()
        }),
        ("more other names", {
            let names = [("repeat", "run"), ("reading", "bore diameter"), ("operator", "person")];
            names.iter().fold(plain(), |sheet, (from, to)| sheet.headed(from, to)).csv().into()
        }),
        (
            "the unit in the heading",
            plain().column("reading", millimetres).headed("reading", "Reading (mm)").csv().into(),
        ),
        (
            "the unit in a column",
            plain().column("reading", millimetres).column("unit", |_| "MM".into()).csv().into(),
        ),
        (
            "the unit in words",
            plain().column("reading", millimetres).column("unit", |_| "millimetres".into()).csv().into(),
        ),
        (
            "thousandths",
            plain()
                .column("reading", |text| text.replace('.', ""))
                .column("reading", |text| format!("{}.{}", &text[..4], &text[4..]))
                .column("unit", |_| "thou".into())
                .csv()
                .into(),
        ),
        (
            "the unit in the cell",
            plain().column("reading", |text| format!("{} mm", millimetres(text))).csv().into(),
        ),
        (
            "the unit in both",
            plain()
                .column("reading", |text| format!("{} mm", millimetres(text)))
                .column("unit", |_| "mm".into())
                .csv()
                .into(),
        ),
        ("no number of the repeat", plain().column("repeat", |_| String::new()).csv().into()),
        ("other letters in what is not used", {
            latin(plain().headed("remark", "remark ~").column("remark ~", |_| "caf~".into()).csv())
        }),
        ("a row that begins like a remark", {
            let mut sheet = plain().column("remark", |_| "#3".into());
            sheet.rows.iter_mut().for_each(|row| row.reverse());
            sheet.csv().into()
        }),
    ];
    let expected: Vec<Length> =
        READINGS.iter().map(|text| Length::parse(text, Unit::Inch).unwrap().length).collect();
    for (name, bytes) in layouts {
        let Read { readings, said } = read(&bytes);
        for ((who, readings), said) in THREE.iter().zip(readings).zip(said) {
            assert_eq!(said, Vec::<String>::new(), "{name}: {who}");
            assert_eq!(readings, expected, "{name}: {who}");
        }
    }
}

#[test]
fn what_is_wrong_is_said_alike_by_all_three() {
    let second = |column: usize, text: &str| {
        let mut sheet = Sheet::plain();
        sheet.rows[2][column] = text.to_owned();
        sheet
    };
    let utf_16 = |text: String| -> Vec<u8> {
        format!("\u{feff}{text}").encode_utf16().flat_map(u16::to_le_bytes).collect()
    };
    // The line that all three name (0: the file as a whole), and what all three say.
    let cases: Vec<(Vec<u8>, usize, &str)> = vec![
        (second(8, "five").csv().into(), 3, "`five` is not a length"),
        (second(8, "5.1.270").csv().into(), 3, "has more than one decimal sign"),
        (second(8, "5.127 ell").csv().into(), 3, "`ell` is not a unit of length"),
        (
            second(8, "130.2 mm").column("unit", |_| "in".into()).csv().into(),
            3,
            "itself says mm, and the column for the unit says in",
        ),
        (
            second(8, "5.127 in").headed("reading", "reading_mm").csv().into(),
            3,
            "itself says in, and its heading says mm",
        ),
        (
            Sheet::plain().column("unit", |_| "in".into()).headed("reading", "reading_mm").csv().into(),
            3,
            "the column for the unit says in, and its heading says mm",
        ),
        (second(8, "5,1272").csv().into(), 3, "the row has 13 columns, the header has 12"),
        (
            second(8, "5,1272").headed("unit", "note").csv().replace(",5,1272,,Ann", ",5,1272,Ann").into(),
            3,
            "look like one number with a decimal comma",
        ),
        (latin(second(8, "5.12~").csv()), 3, "is not UTF-8 text"),
        (second(11, "\"left open").csv().into(), 3, "the row that begins here does not end"),
        (utf_16(Sheet::plain().csv()), 0, "This file is written in UTF-16"),
        (b"PK\x03\x04\0\0".to_vec(), 0, "This is no text file: line 1 holds what no text has"),
        (Vec::new(), 0, "the file is empty"),
        // Of a study a size may be the value too.
        (
            Sheet::plain().headed("size", "made to").headed("reading", "raeding").csv().into(),
            0,
            "meant by `raeding`?",
        ),
    ];
    for (bytes, line, part) in cases {
        let said = read(&bytes).said;
        for (who, said) in THREE.iter().zip(said) {
            let on_line = |said: &&String| {
                let places = [format!("ine {line},"), format!("ine {line}:")];
                line == 0 || places.iter().any(|place| said.contains(place))
            };
            assert!(said.iter().filter(on_line).any(|said| said.contains(part)), "{who}: {part}: {said:#?}");
        }
    }
}
