//! Out and in again: nothing is lost, and what cannot be taken is told with its line.

use proptest::prelude::*;

use super::import::{Consent, Import, Obstacle, Unstated, import};
use super::mapping::{Field, Mapping};
use super::table::{Grid, Table};
use super::*;
use crate::session::{Command, Session};
use quantities::length::Unit;
use records::file;
use records::limits::schema::Size;
use records::record::schema::{Decision, Disposition, EngineRecord, Reading};

const DEMO: &str = include_str!("../../../demo/wexcombe_six.ron");
const MARINE: &str = include_str!("../../../demo/skarvoy_320.ron");

fn record(text: &str) -> EngineRecord {
    file::record_from_text(text, None).value.expect("the demo can be read")
}

fn table(part: Part, record: &EngineRecord, index: usize) -> Table {
    let evaluation = Evaluation::of(record, index, None);
    part.table(Source { record, overhaul: &record.overhauls[index], evaluation: &evaluation })
}

/// Reads a grid for an overhaul, as the window does.
fn imported(grid: &Grid, record: &EngineRecord, index: usize) -> Import {
    let evaluation = Evaluation::of(record, index, None);
    import(grid, &Mapping::of(grid), &Unstated::default(), (record, index), &evaluation)
        .expect("it has its columns")
}

/// Everything that can be agreed to.
const ALL: Consent = Consent { leave_out_refused: true, accept_implausible: true, replace: true };

/// The lines that are refused, and why.
fn refused(import: &Import) -> Vec<(usize, String)> {
    import.refused.iter().map(|refused| (refused.line, refused.words())).collect()
}

fn of_csv(text: &str, record: &EngineRecord, index: usize) -> Import {
    imported(&csv_file::read(text).expect("a table"), record, index)
}

/// An overhaul without its readings and temperatures.
fn emptied(record: &EngineRecord, index: usize) -> EngineRecord {
    let mut empty = record.clone();
    let overhaul = &mut empty.overhauls[index];
    overhaul.temperatures = None;
    overhaul.cylinders.iter_mut().for_each(|cylinder| cylinder.readings.clear());
    empty
}

/// Takes an import over, as one step, and agrees to all there is.
fn taken_over(record: EngineRecord, index: usize, import: &Import) -> Session {
    let mut session = Session::new(record);
    session.choose_overhaul(index);
    let agreed = import.agreed(ALL).expect("agreed");
    session.dispatch(Command::Import(Box::new(agreed))).expect("taken over");
    session
}

/// Readings in one order, the first gauge named as the file names it.
fn sorted(record: &EngineRecord, index: usize) -> Vec<Vec<Reading>> {
    let first = record.overhauls[index].gauges.first().map(|gauge| gauge.name.clone());
    let readings = |cylinder: &records::record::schema::Cylinder| {
        let mut readings = cylinder.readings.clone();
        for reading in &mut readings {
            reading.gauge = reading.gauge.take().or(first.clone());
        }
        readings.sort_by(|a, b| (&a.station, &a.axis).cmp(&(&b.station, &b.axis)));
        readings
    };
    record.overhauls[index].cylinders.iter().map(readings).collect()
}

/// Writes an overhaul's readings, empties it, and reads them in again.
fn round_trip(record: &EngineRecord, index: usize, through: impl Fn(&Table) -> Grid) {
    let grid = through(&table(Part::Readings, record, index));
    let import = imported(&grid, &emptied(record, index), index);
    assert_eq!(import.refused, [], "overhaul {index}");
    let session = taken_over(emptied(record, index), index, &import);
    let after = session.record();
    assert_eq!(sorted(after, index), sorted(record, index));
    let both = |record: &EngineRecord| {
        let temperatures = record.overhauls[index].temperatures.as_ref();
        temperatures.map(|t| (t.barrel, t.gauge))
    };
    let any = record.overhauls[index].cylinders.iter().any(|cylinder| !cylinder.readings.is_empty());
    assert_eq!(both(after), both(record).filter(|_| any));
}

fn through_csv(table: &Table) -> Grid {
    csv_file::read(csv_file::text(table)).expect("a table")
}

#[test]
fn the_demos_come_back_from_csv_as_they_were() {
    for text in [DEMO, MARINE] {
        let record = record(text);
        (0..record.overhauls.len()).for_each(|index| round_trip(&record, index, through_csv));
    }
}

#[cfg(feature = "exchange")]
#[test]
fn the_demos_come_back_from_a_workbook_as_they_were() {
    for text in [DEMO, MARINE] {
        let record = record(text);
        for index in 0..record.overhauls.len() {
            round_trip(&record, index, |table| {
                let bytes = book::bytes(std::slice::from_ref(table)).expect("a workbook");
                book::from_bytes(&bytes).expect("read by the other library")
            });
        }
    }
}

proptest! {
    #![proptest_config(ProptestConfig { cases: 40, ..ProptestConfig::default() })]

    /// Any readings that can be read, with any words beside them: back as they were.
    #[test]
    fn nothing_is_lost_on_the_way(
        cells in proptest::collection::vec(
            (0_usize..3, 0_usize..5, 0_usize..2, proptest::collection::vec("\\+[0-9]{1,2}|-[0-9]{1,2}|\\+?0\\.00[0-9]{2,4} in|-0,1[0-9] mm|[0-9]{1,2} thou", 1..5), "['=+@a-zé;,\" ]{0,8}"),
            0..12),
        barrel in proptest::option::of(-20.0_f64..60.0),
    ) {
        let mut made = emptied(&record(DEMO), 2);
        let limits = made.tables[0].clone();
        let overhaul = &mut made.overhauls[2];
        overhaul.temperatures = barrel.map(|barrel| records::record::schema::Temperatures {
            barrel, gauge: 20.0, within: None, expansion_within_ppm: None, barrel_expansion_ppm: None, correct_readings: false,
        });
        for (cylinder, station, axis, entered, confirmed) in cells {
            let (Some(station), Some(axis)) = (limits.stations.get(station), limits.axes.get(axis)) else { continue };
            let readings = &mut overhaul.cylinders[cylinder].readings;
            if readings.iter().all(|r| r.station != station.name || r.axis != axis.label) {
                readings.push(Reading {
                    station: station.name.clone(), axis: axis.label.clone(), gauge: None, entered,
                    confirmed: confirmed.trim().to_owned(),
                });
            }
        }
        round_trip(&made, 2, through_csv);
    }

    #[test]
    fn any_text_is_told_and_not_panicked_over(text in "[a-z0-9,;\\t\"\\r\\n=.+é\u{feff}-]{0,200}") {
        if let Ok(grid) = csv_file::read(&text) {
            let record = record(MARINE);
            let evaluation = Evaluation::of(&record, 0, None);
            let mut mapping = Mapping::of(&grid);
            for (column, field) in [Field::Position, Field::Station, Field::Axis, Field::Reading].into_iter().enumerate() {
                mapping.put(column, Some(field));
            }
            drop(import(&grid, &mapping, &Unstated::default(), (&record, 0), &evaluation));
        }
    }
}

#[test]
fn a_reading_stands_as_typed_and_as_the_diameter_it_stands_for() {
    let record = record(DEMO);
    let text = csv_file::text(&table(Part::Readings, &record, 2));
    let mut lines = text.split("\r\n");
    assert_eq!(
        lines.next(),
        Some(
            "engine,overhaul,position,cylinder,station,axis,repeat,reading,unit,gauge,\"diameter, in\",confirmed,\
             \"barrel temperature, °C\",\"gauge temperature, °C\""
        )
    );
    let first = lines.next().expect("a reading");
    assert!(first.starts_with("W6-0001,2023-03-14,1,WX-0411,A,pin,1,+2,graduations,"), "{first}");
    assert!(first.contains(",5.1352,"), "+2 on a ring of 5.1350: {first}");
}

#[test]
fn figures_and_outcomes_are_numbers_with_their_unit_in_the_heading() {
    let record = record(DEMO);
    let figures = csv_file::text(&table(Part::Figures, &record, 2));
    assert!(
        figures.starts_with(
            "position,cylinder,name,rule,in force,\"figure, in\",complete,station,axis,made of\r\n"
        ),
        "{figures}"
    );
    // 5.1304 in as read, half a kelvin warmer than the gauge, of the same steel: less 0.000 029 5.
    assert!(figures.contains("4,WX-0702,largest diameter,,no,5.1303705"), "{figures}");
    // A single reading has a place; an average has none, and both say what they are made of.
    let ending = |name: &str| {
        let line =
            figures.lines().find(|line| line.starts_with(&format!("4,WX-0702,{name},"))).expect("there");
        line.split_once(",yes,").expect("complete").1.to_owned()
    };
    let largest = ending("largest diameter");
    let (place, made_of) = largest.split_once(",1 x ").expect("one reading");
    assert_eq!(place.replace(',', " "), made_of);
    assert!(ending("average diameter").starts_with(",,1/"), "{figures}");
    // Every rule is there, one of them in force.
    assert_eq!(figures.lines().filter(|line| line.starts_with("4,WX-0702,taper,")).count(), 5);
    let tapers = figures.lines().filter(|line| line.starts_with("4,WX-0702,taper,"));
    let in_force: Vec<&str> = tapers.filter(|line| line.contains(",yes,")).collect();
    assert_eq!(in_force.iter().filter(|line| line.contains(",yes,0.0002749")).count(), 1, "{in_force:?}");
    let outcomes = csv_file::text(&table(Part::Outcomes, &record, 2));
    let line = outcomes.lines().find(|line| line.starts_with("4,WX-0702,")).expect("there");
    assert!(line.starts_with("4,WX-0702,standard,rebore,+0.015 in,,,,choke,-0.0005249"), "{line}");
}

#[test]
fn a_decided_size_goes_out_by_its_name_in_the_table_however_it_was_written() {
    let mut record = record(DEMO);
    for text in ["0.015", "0.0150", "0.381 mm"] {
        record.overhauls[2].cylinders[3].disposition = Some(Disposition {
            decision: Decision::Rebore(Size::Oversize(text.to_owned())),
            by: "A. Person".to_owned(),
            reason: String::new(),
        });
        let outcomes = csv_file::text(&table(Part::Outcomes, &record, 2));
        let decided = "4,WX-0702,standard,rebore,+0.015 in,rebore to +0.015 in,A. Person,";
        assert!(outcomes.lines().any(|line| line.starts_with(decided)), "{text}: {outcomes}");
    }
}

#[cfg(feature = "exchange")]
#[test]
fn the_other_library_finds_numbers_and_texts_in_the_workbook() {
    use calamine::{Data, Reader as _, Xlsx};
    let mut record = record(DEMO);
    record.overhauls[2].cylinders[0].serial = "=HYPERLINK(\"x\")".into();
    let tables = Part::ALL.map(|part| table(part, &record, 2));
    let bytes = book::bytes(&tables).expect("a workbook");
    assert_eq!(bytes, book::bytes(&tables).expect("a workbook"), "the same tables give the same bytes");
    let mut book: Xlsx<_> = Xlsx::new(std::io::Cursor::new(bytes)).expect("opened");
    assert_eq!(book.sheet_names(), ["Readings", "Figures", "Outcomes"]);
    let sheet = book.worksheet_range("Readings").expect("there");
    let column = |name: &str| {
        let headings = sheet.rows().next().expect("headings");
        headings.iter().position(|cell| *cell == name).expect(name)
    };
    let first: Vec<&Data> = sheet.rows().nth(1).expect("a reading").iter().collect();
    assert_eq!(first[column("reading")], &Data::String("+2".into()), "as typed");
    assert_eq!(first[column("diameter, in")], &Data::Float(5.1352), "a real number");
    assert_eq!(first[column("cylinder")], &Data::String("=HYPERLINK(\"x\")".into()));
    for name in ["Readings", "Figures", "Outcomes"] {
        let formulas = book.worksheet_formula(name).expect("there");
        assert!(formulas.used_cells().next().is_none(), "{name} has no formula");
    }
    let readings: usize =
        record.overhauls[2].cylinders.iter().flat_map(|c| &c.readings).map(|r| r.entered.len()).sum();
    assert_eq!(sheet.rows().count(), readings + 1);
}

/// The last overhaul of the marine demo: its unit is the millimetre, its gauges read the diameter or not.
fn marine() -> EngineRecord {
    record(MARINE)
}

#[test]
fn headings_are_matched_leniently_and_the_unit_read_from_them() {
    let record = record(DEMO);
    let grid =
        csv_file::read("Pos.;S/N;STATION;Axis ;Rep;Diameter (mm);Colour\n1;WX-0411;a;PIN;1;130,48;red\n")
            .expect("a table");
    let mapping = Mapping::of(&grid);
    let fields: Vec<_> = mapping.columns.iter().map(|field| field.map(Field::name)).collect();
    let wanted = ["position", "cylinder", "station", "axis", "repeat", "diameter"].map(Some);
    assert_eq!(fields[..6], wanted);
    assert_eq!(fields[6], None);
    assert_eq!(mapping.unit(Field::Diameter).map(|unit| unit.word()), Some("mm"));
    assert!(mapping.missing().is_empty());
    let import = imported(&grid, &record, 2);
    assert_eq!(import.taken[0].texts(), ["130,48 mm"], "{:?}", import.refused);
}

#[test]
fn separators_line_ends_and_the_byte_order_mark_do_not_matter() {
    let record = record(DEMO);
    let expected = of_csv("position,station,axis,reading\n1,A,pin,+7\n1,A,thrust,+8\n", &record, 2);
    assert_eq!((expected.taken.len(), expected.refused.len()), (2, 0));
    for text in [
        "\u{feff}position,station,axis,reading\r\n1,A,pin,+7\r\n1,A,thrust,+8\r\n",
        "position;station;axis;reading\r1;A;pin;+7\r1;A;thrust;+8",
        "position\tstation\taxis\treading\n\n1\tA\tpin\t+7\n\n1\tA\tthrust\t+8\n\n",
        "\"position\",\"station\",\"axis\",\"reading\"\n\"1\",\"A\",\"pin\",\"+7\"\n1,A,90,+8\n",
    ] {
        let taken = of_csv(text, &record, 2).taken;
        let kept = |taken: &[import::Taken]| -> Vec<_> {
            taken
                .iter()
                .map(|t| (t.axis.clone(), t.entered.iter().map(|r| r.text.clone()).collect::<Vec<_>>()))
                .collect()
        };
        assert_eq!(kept(&taken), kept(&expected.taken), "{text:?}");
        let line = taken[0].entered[0].line;
        assert_eq!(
            (line, taken[1].entered[0].line > line),
            (if text.contains("\n\n") { 3 } else { 2 }, true),
            "{text:?}"
        );
    }
}

#[test]
fn a_decimal_comma_is_taken_where_it_cannot_be_meant_otherwise() {
    let record = marine();
    let axis = record.tables[0].axes[0].label.clone();
    let station = record.tables[0].stations[0].name.clone();
    let position = record.overhauls[0].cylinders[0].position.clone();
    let with = |text: &str| {
        let text = text.replace("POS", &position).replace("ST", &station).replace("AX", &axis);
        of_csv(&text, &record, 0)
    };
    let taken = with("position;station;axis;diameter_mm\nPOS;ST;AX;320,15\n");
    assert!(taken.refused.is_empty(), "{:?}", taken.refused);
    let refused = with("position,station,axis,diameter_mm\nPOS,ST,AX,320,15\n");
    assert!(refused.refused[0].words().contains("decimal comma"), "{:?}", refused.refused);
    let refused = with("position;station;axis;diameter_mm\nPOS;ST;AX;1.320,15\n");
    assert!(refused.refused[0].words().contains("more than one decimal sign"), "{:?}", refused.refused);
}

#[test]
fn every_bad_row_is_told_with_its_line_and_its_place_is_not_taken() {
    let record = record(DEMO);
    let text = "engine,overhaul,position,cylinder,station,axis,repeat,reading,unit,gauge,barrel_c,gauge_c\n\
         W6-0001,2023-03-14,1,WX-0411,A,pin,1,+7,in,,,\n\
         W6-0002,,1,,A,pin,2,+7,,,,\n\
         ,2022-01-01,1,,A,pin,2,+7,,,,\n\
         ,,9,,A,pin,2,+7,,,,\n\
         ,,2,WX-0411,A,pin,2,+7,,,,\n\
         ,,1,,Q,pin,2,+7,,,,\n\
         ,,1,,A,diagonal,2,+7,,,,\n\
         ,,1,,A,pin,0,+7,,,,\n\
         ,,1,,A,pin,1,+7,,,,\n\
         ,,1,,A,pin,2,,,,,\n\
         ,,1,,A,pin,2,five,,,,\n\
         ,,1,,A,pin,2,+7,furlong,,,\n\
         ,,1,,A,pin,2,+7,,a stick,,\n\
         ,,1,,A,pin,2,+7,,,hot,20\n\
         ,,,,A,pin,2,+7,,,,\n\
         ,,1,,A,pin,2,+8,,,,\n";
    // As we write it, and as a spreadsheet does.
    let crlf = of_csv(&text.replace('\n', "\r\n"), &record, 2);
    let import = of_csv(text, &record, 2);
    assert_eq!(crlf.refused, import.refused);
    let reported = refused(&import);
    // Line 11 has no reading: there is nothing to take.
    let lines: Vec<usize> = reported.iter().map(|(line, _)| *line).collect();
    assert_eq!(lines, (2..=17).filter(|line| *line != 11).collect::<Vec<_>>(), "{reported:#?}");
    assert!(import.notes.contains(&"Line 11 has no reading.".to_owned()), "{:?}", import.notes);
    let whole = "of the same place is refused, and a place is taken whole or not at all";
    let parts = [
        whole,
        "column engine: refused: it is of engine `W6-0002`",
        "column overhaul: refused: it is of the overhaul `2022-01-01`",
        "column position: refused: the overhaul has no cylinder of position `9`",
        "column position: refused: cylinder `WX-0411` is at position `1`",
        "column station: refused: there is no station `Q`",
        "column axis: refused: there is no axis `diagonal`",
        "column repeat: refused: `0` is not the number of a repeat. Write 1 to 50",
        whole,
        "column reading: refused: `five` is not a length; write a number",
        "column unit: refused: `furlong` is no unit",
        whole,
        "column barrel_c: refused: `hot` is no temperature",
        "names no cylinder. Write its position or its serial",
        whole,
    ];
    assert_eq!(reported.len(), parts.len(), "{reported:#?}");
    for ((_, reason), part) in reported.iter().zip(parts) {
        assert!(reason.contains(part), "{part}: {reason}");
    }
    assert!(import.taken.is_empty(), "half a place is none");
    assert!(import.agreed(Consent::default()).is_err());
}

#[test]
fn missing_columns_are_told_and_can_be_named() {
    let record = record(DEMO);
    let grid = csv_file::read("where,pos,axis,what\nA,1,pin,+7\n").expect("a table");
    let evaluation = Evaluation::of(&record, 2, None);
    let mut mapping = Mapping::of(&grid);
    assert_eq!(mapping.missing(), ["station", "reading or diameter"]);
    let error = import(&grid, &mapping, &Unstated::default(), (&record, 2), &evaluation).unwrap_err();
    assert!(error.message.contains("station, nor the reading"), "{error}");
    mapping.put_named(&grid, "Where", "station").expect("there");
    mapping.put_named(&grid, "what", "reading").expect("there");
    assert!(mapping.put_named(&grid, "whot", "reading").unwrap_err().remedy.contains("Is `what` meant"));
    assert!(mapping.put_named(&grid, "what", "colour").unwrap_err().message.contains("colour"));
    let import = import(&grid, &mapping, &Unstated::default(), (&record, 2), &evaluation).expect("all there");
    assert_eq!(import.taken[0].texts(), ["+7"]);
    mapping.put_named(&grid, "what", "-").expect("there");
    assert_eq!(mapping.missing(), ["reading or diameter"]);
}

#[test]
fn a_unit_that_is_not_the_overhauls_stands_with_the_reading() {
    let record = marine();
    let evaluation = Evaluation::of(&record, 0, None);
    let overhaul = &record.overhauls[0];
    let table = &record.tables[0];
    let text = format!(
        "position,station,axis,diameter\n{},{},{},12.6\n",
        overhaul.cylinders[0].position, table.stations[0].name, table.axes[0].label
    );
    let grid = csv_file::read(&text).expect("a table");
    let inches = Unstated { unit: Some(Unit::Inch), gauge: None };
    let import = import(&grid, &Mapping::of(&grid), &inches, (&record, 0), &evaluation).expect("read");
    assert!(import.refused.is_empty(), "{:?}", import.refused);
    let session = taken_over(record.clone(), 0, &import);
    let limits = session.evaluation().limits().expect("a table");
    let at = records::bore::Point::new(0, 0);
    let cylinder = session.cylinder(0).expect("there");
    let kept = records::record::entry::reading(cylinder, limits, at).expect("taken");
    let cell = session.evaluation().survey.as_ref().expect("read").cylinders[0].bore.cell(at).expect("read");
    let wanted = quantities::length::Length::parse("12.6 in", Unit::Inch).expect("a length").length;
    assert_eq!(cell.as_read(), [wanted], "{kept:?}");
}

#[test]
fn an_import_is_one_step_and_not_into_a_signed_overhaul() {
    let record = record(DEMO);
    let import = of_csv("position,station,axis,reading\n1,A,pin,+7\n2,A,pin,+8\n", &record, 2);
    assert_eq!(import.obstacles(Consent::default()), [Obstacle::Replaces(2, false)]);
    let mut session = taken_over(record.clone(), 2, &import);
    assert_ne!(*session.record(), record);
    session.undo().expect("one step");
    assert_eq!((session.record(), session.undo_label()), (&record, None));
    session
        .dispatch(Command::Sign(crate::seal::Signature {
            name: "Ada Invented".into(),
            certificate: "invented 7".into(),
            date: jiff::civil::date(2026, 5, 14),
        }))
        .expect("signed");
    let agreed = import.agreed(ALL).expect("agreed");
    let refused = session.dispatch(Command::Import(Box::new(agreed))).expect_err("signed");
    assert!(refused.message.contains("signed by Ada Invented"), "{refused}");
}

#[test]
fn a_file_of_no_end_is_refused() {
    let mut text = "position,station,axis,reading\n".to_owned();
    text.push_str(&"1,A,pin,+7\n".repeat(table::MOST_ROWS + 1));
    assert!(csv_file::read(&text).unwrap_err().message.contains("more than 100000 rows"));
    assert!(csv_file::read("").unwrap_err().message.contains("empty"));
    let wide = ",".repeat(table::MOST_COLUMNS) + "x";
    assert!(csv_file::read(&wide).unwrap_err().message.contains("more than 500 columns"));
    let long = format!("position,station,axis,reading\n1,A,pin,{}\n", "9".repeat(1_000_000));
    let import = of_csv(&long, &record(DEMO), 2);
    assert_eq!(import.refused.len(), 1);
    assert!(import.refused[0].words().contains("more than 2000 characters"), "{:?}", import.refused);
}

#[cfg(feature = "exchange")]
#[test]
fn numbers_of_a_workbook_are_read_as_they_are_shown() {
    use rust_xlsxwriter::Workbook;
    let mut book = Workbook::new();
    book.add_worksheet().set_name("Notes").expect("a sheet").write_string(0, 0, "nothing").expect("written");
    let sheet = book.add_worksheet().set_name("readings").expect("a sheet");
    for (column, name) in
        (0_u16..).zip(["Position", "Station", "Axis", "Reading", "Barrel temp, °C", "Gauge temp, °C"])
    {
        sheet.write_string(2, column, name).expect("written");
    }
    sheet.write_number(3, 0, 1.0).expect("written");
    sheet.write_string(3, 1, "A").expect("written");
    sheet.write_number(3, 2, 90.0).expect("written");
    sheet.write_number(3, 3, 7.0).expect("written");
    sheet.write_number(3, 4, 20.1 + 0.2).expect("written");
    sheet.write_number(3, 5, 20.0).expect("written");
    let grid = book::from_bytes(&book.save_to_buffer().expect("a workbook")).expect("read");
    assert_eq!(grid.rows[0].0, 4, "the line on the sheet");
    let import = imported(&grid, &record(DEMO), 2);
    assert!(import.refused.is_empty(), "{:?}", import.refused);
    assert_eq!(import.taken[0].texts(), ["7"]);
    assert_eq!(
        (import.taken[0].axis.as_str(), import.temperatures.as_ref().map(|t| t.barrel)),
        ("thrust", Some(20.3))
    );
}

// ---- what a value means

/// The demo with one gauge more that reads diameters, or with its dials alone.
fn with_gauges(keep: impl Fn(&records::record::schema::Gauge) -> bool) -> EngineRecord {
    let mut record = emptied(&record(DEMO), 2);
    record.overhauls[2].gauges.retain(keep);
    record
}

fn reads(gauge: &records::record::schema::Gauge) -> records::record::schema::Reads {
    gauge.reads
}

use records::record::schema::Reads::{Deviation, Diameter, Graduations};

/// Takes one row into cylinder 1, size +0.010 in: what is kept, on which gauge, and the diameter in inches.
fn one(text: &str, record: &EngineRecord) -> (String, String, String) {
    let import = of_csv(text, record, 2);
    assert_eq!(refused(&import), [], "{text}");
    let session = taken_over(record.clone(), 2, &import);
    let overhaul = session.overhaul().expect("there");
    let kept = &overhaul.cylinders[0].readings[0];
    let gauge = kept.gauge.clone().unwrap_or_else(|| overhaul.gauges[0].name.clone());
    let bore = &session.evaluation().survey.as_ref().expect("read").cylinders[0].bore;
    let (_, cell) = bore.measured().next().expect("measured");
    assert_eq!(cell.as_read()[0], import.taken[0].entered[0].diameter, "what is shown is what is judged");
    assert_eq!(import.taken[0].gauge_words, gauge);
    (
        kept.entered.join(" "),
        gauge,
        quantities::length::Mean::of_lengths(cell.as_read().iter().copied())
            .expect("read")
            .decimal_text(Unit::Inch)
            .0,
    )
}

fn why(text: &str, record: &EngineRecord) -> String {
    let import = of_csv(text, record, 2);
    assert!(import.taken.is_empty(), "{text}: {:?}", import.taken);
    let words: Vec<_> = import.refused.iter().map(|refused| refused.words()).collect();
    words.join("\n")
}

#[test]
fn a_diameter_stays_one_whatever_gauge_comes_first() {
    let diameter = "position,station,axis,diameter\n1,A,pin,5.1352\n";
    // There is an inside micrometer beside the dials.
    let all = with_gauges(|_| true);
    assert_eq!(reads(&all.overhauls[2].gauges[0]), Graduations);
    let micrometer =
        all.overhauls[2].gauges.iter().find(|g| reads(g) == Diameter).expect("there").name.clone();
    assert_eq!(one(diameter, &all), ("5.1352".into(), micrometer.clone(), "5.1352".into()));
    // Dials alone: a gauge is made, and it says what it reads.
    let dials = with_gauges(|gauge| reads(gauge) == Graduations);
    assert_eq!(one(diameter, &dials), ("5.1352".into(), "imported diameters".into(), "5.1352".into()));
    let session = taken_over(dials.clone(), 2, &of_csv(diameter, &dials, 2));
    let made = session.overhaul().expect("there").gauges.last().expect("made").clone();
    assert_eq!((made.name.as_str(), made.reads, made.calibration), ("imported diameters", Diameter, None));
    // None at all: whatever gauge comes later, it stays a diameter.
    let none = with_gauges(|_| false);
    assert_eq!(one(diameter, &none).1, "imported diameters");
    // Two may have read it: that is not guessed, and can be said.
    let mut two = all.clone();
    let mut other = two.overhauls[2].gauges.iter().find(|g| reads(g) == Diameter).expect("there").clone();
    other.name = "three-point micrometer".into();
    two.overhauls[2].gauges.push(other);
    assert!(
        why(diameter, &two).contains("it names no gauge, and it may be any of `"),
        "{}",
        why(diameter, &two)
    );
    let grid = csv_file::read(diameter).expect("a table");
    let evaluation = Evaluation::of(&two, 2, None);
    let say = |name: &str| {
        let unstated = Unstated { unit: None, gauge: Some(name.into()) };
        import(&grid, &Mapping::of(&grid), &unstated, (&two, 2), &evaluation)
    };
    assert_eq!(say("three-point micrometer").expect("said").taken[0].gauge_words, "three-point micrometer");
    assert!(say("a stick").unwrap_err().message.contains("no gauge `a stick`"));
}

#[test]
fn a_diameter_read_with_a_dial_is_not_turned_into_what_its_dial_would_show_today() {
    let record = with_gauges(|_| true);
    let dial = record.overhauls[2].gauges[0].clone();
    let text = format!("position,station,axis,gauge,diameter\n1,A,pin,{},5.1352\n", dial.name);
    let name = format!("{}, diameters", dial.name);
    assert_eq!(one(&text, &record), ("5.1352".into(), name.clone(), "5.1352".into()));
    // All that is known of it stays known.
    let session = taken_over(record.clone(), 2, &of_csv(&text, &record, 2));
    let made = session.overhaul().expect("there").gauges.last().expect("made");
    assert_eq!(
        (&made.calibration, &made.graduation, made.reads),
        (&dial.calibration, &dial.graduation, Diameter)
    );
    // The next file finds it there.
    let again = of_csv(&text.replace(",A,", ",B,"), session.record(), 2);
    assert_eq!((again.gauges.len(), again.taken[0].gauge_words.as_str()), (0, name.as_str()));
    // A gauge that the record does not have is added; one that is nearly there is asked about.
    let other = "position,station,axis,gauge,diameter\n1,A,pin,quicktest head,5.1352\n";
    assert_eq!(one(other, &record).1, "quicktest head");
    let typo = text.replace(&dial.name, &dial.name[..dial.name.len() - 2]);
    assert!(why(&typo, &record).contains("meant?"), "{}", why(&typo, &record));
}

#[test]
fn a_reading_goes_to_no_gauge_that_is_not_named() {
    let record = with_gauges(|_| true);
    let text = "position,station,axis,reading\n1,A,pin,+2\n";
    assert!(why(text, &record).contains("it names no gauge"), "{}", why(text, &record));
    // One gauge alone can be meant, and so can that of the readings that are there.
    let first = record.overhauls[2].gauges[0].name.clone();
    let alone = with_gauges(|gauge| gauge.name == first);
    assert_eq!(one(text, &alone).0, "+2");
    let full = self::record(DEMO);
    let there = of_csv("position,station,axis,reading\n1,A,pin,+3\n", &full, 2);
    let stands = full.overhauls[2].cylinders[0].readings[0].gauge.clone().unwrap_or(first);
    assert_eq!(there.taken[0].gauge_words, stands);
}

#[test]
fn a_diameter_among_readings_is_seen() {
    // On a dial, 5.1352 graduations would be half a thousandth: a likely bore, and another one.
    let first = "bore gauge on the 5.1350 ring";
    let dial = with_gauges(|gauge| gauge.name == first);
    for value in ["5.1352", "5.2", "5,1352", "130.43", "5.1352 in"] {
        let text = format!("position;station;axis;value\n1;A;pin;{value}\n");
        let reported = why(&text, &dial);
        assert!(
            reported.contains(&format!("`{value}` is a diameter, and gauge `{first}` shows graduations")),
            "{reported}"
        );
        assert!(reported.contains("Say that the column holds diameters"), "{reported}");
    }
    for (value, inches) in [("2", "5.1352"), ("+2.5", "5.13525"), ("-3", "5.1347"), ("+0.0002 in", "5.1352")]
    {
        let text = format!("position;station;axis;value\n1;A;pin;{value}\n");
        assert_eq!(one(&text, &dial).2, inches, "{value}");
    }
    let mut deviation = dial.clone();
    deviation.overhauls[2].gauges[0].reads = Deviation;
    assert!(why("position,station,axis,value\n1,A,pin,5.1352\n", &deviation).contains("shows deviations"));
}

#[test]
fn the_unit_is_what_the_file_says() {
    let dial = with_gauges(|gauge| gauge.name == "bore gauge on the 5.1350 ring");
    let at = |header: &str, row: &str| format!("position;station;axis;{header}\n1;A;pin;{row}\n");
    for (header, row, kept, inches) in [
        ("diameter;unit", "130,43408;mm", "130,43408 mm", "5.1352"),
        ("diameter (mm)", "130.43408", "130.43408 mm", "5.1352"),
        ("diameter;unit", "130434.08;µm", "130434.08 µm", "5.1352"),
        ("diameter;unit", "5135.2;thou", "5135.2 thou", "5.1352"),
        ("diameter;unit", "5.1352;\"", "5.1352", "5.1352"),
        ("diameter;unit", "130.43408 mm;mm", "130.43408 mm", "5.1352"),
        // On a dial that counts graduations, a number in inches is no count.
        ("reading;unit", "+0.0002;in", "+0.0002 in", "5.1352"),
        ("reading;unit", "+2;graduations", "+2", "5.1352"),
        ("reading;unit", "+0.2;thou", "+0.2 thou", "5.1352"),
        ("reading;unit;diameter (in)", "+2;in;5.1352", "+2", "5.1352"),
    ] {
        let (text, _, made) = one(&at(header, row), &dial);
        assert_eq!((text.as_str(), made.as_str()), (kept, inches), "{header}: {row}");
    }
    for (header, row, part) in [
        ("diameter (mm);unit", "130.43;in", "the column for the unit says in, and its heading says mm"),
        ("diameter;unit", "130.43408 mm;in", "itself says mm, and the column for the unit says in"),
        ("diameter (mm)", "5.1352 in", "itself says in, and its heading says mm"),
        ("diameter;unit", "5.1352;graduations", "a diameter cannot be in graduations"),
        ("diameter;unit", "5.1352;cubits", "`cubits` is no unit known here"),
        ("reading;unit", "+2;in", "7.135 in is no diameter"),
        ("reading (mm);unit", "+2;graduations", "says graduations, and its heading says mm"),
        // What stands beside a reading is what it must make.
        ("reading;unit;diameter (in)", "+2;graduations;5.1252", "beside it, and `+2` on gauge"),
        ("reading;unit;diameter (in)", "-2;graduations;5.1352", "beside it, and `-2` on gauge"),
        ("reading;unit;diameter (in)", "0.0002;in;5.1352", "beside it, and `0.0002` on gauge"),
        // A unit typed for the whole column that does not fit.
        ("diameter", "130.482", "It would fit in mm: say so"),
    ] {
        let reported = why(&at(header, row), &dial);
        assert!(reported.contains(part), "{header}: {row}: {reported}");
    }
    let mut micrometer = dial.clone();
    micrometer.overhauls[2].gauges[0].reads = Diameter;
    let reported = why(&at("reading;unit", "+2;graduations"), &micrometer);
    assert!(reported.contains("is in graduations, and gauge"), "{reported}");
    // A unit that a person gives for what names none is that of lengths; a count has none.
    let grid = csv_file::read(at("diameter", "130.482")).expect("a table");
    let evaluation = Evaluation::of(&dial, 2, None);
    let say = |unit| {
        let unstated = Unstated { unit: Some(unit), gauge: None };
        import(&grid, &Mapping::of(&grid), &unstated, (&dial, 2), &evaluation).expect("there")
    };
    assert_eq!(say(Unit::Millimetre).taken[0].texts(), ["130.482 mm"]);
    assert_eq!(say(Unit::Inch).taken, [], "130.482 in is no bore of this engine");
}

#[test]
fn a_mean_of_repeats_is_one_reading() {
    let record = with_gauges(|_| true);
    for (heading, value, kept, inches) in [
        ("mean diameter", "5.13520000333", "5.135200", "5.1352"),
        ("Average", "5.13533333333333", "5.135333", "5.135333"),
        ("diameter_mm", "130.437466666667", "130.4374667 mm", "5.135333333333"),
        ("diameter", "5.13525", "5.13525", "5.13525"),
    ] {
        let text = format!("position,station,axis,{heading}\n1,A,pin,{value}\n");
        let (text, _, made) = one(&text, &record);
        assert_eq!(
            (text.as_str(), &made[..8.min(made.len())]),
            (kept, &inches[..8.min(inches.len())]),
            "{heading}"
        );
    }
    let text = "position,station,axis,diameter\n1,A,pin,5.13533333333333\n";
    let import = of_csv(text, &record, 2);
    assert_eq!(import.notes, ["Line 2 has more digits than can be kept: it is taken as 5.135333."]);
    let first = record.overhauls[2].gauges[0].name.clone();
    let dial = with_gauges(|gauge| gauge.name == first);
    let text = "position,station,axis,reading\n1,A,pin,+2.33333333333333\n";
    assert_eq!(one(text, &dial).0, "+2.33");
}

#[test]
fn every_value_is_compared_with_its_bore_row_first() {
    let record = with_gauges(|_| true);
    let at =
        |position: u8, value: &str| format!("position,station,axis,diameter\n{position},A,pin,{value}\n");
    let doubt = |position, value: &str| {
        let import = of_csv(&at(position, value), &record, 2);
        assert_eq!(refused(&import), [], "{value}");
        let doubts: Vec<String> = import.implausible().map(|(.., why)| why.to_owned()).collect();
        assert_eq!(import.agreed(Consent::default()).is_err(), !doubts.is_empty());
        assert!(import.agreed(Consent { accept_implausible: true, ..Consent::default() }).is_ok());
        doubts.first().cloned().unwrap_or_default()
    };
    // Cylinder 1 is bored to +0.010: made 5.1350, serviceable to 5.1390. Cylinder 2 is standard.
    for (position, value) in [(1, "5.1352"), (1, "5.1400"), (1, "5.1345"), (2, "5.1304"), (2, "5.1250")] {
        assert_eq!(doubt(position, value), "", "{value}");
    }
    let another = doubt(2, "5.1390");
    assert_eq!(
        another,
        "5.1390 in is 0.0100 in above the serviceable limit of size standard (5.1290 in); it would fit size +0.010 in"
    );
    assert!(
        doubt(1, "5.1265").contains("0.0085 in below the smallest as-made bore of size +0.010 in"),
        "{another}"
    );
    assert!(doubt(2, "5.1540").contains("above the serviceable limit"));
    for (value, part) in [
        ("2.5", "2.5 in is no diameter of a bore that is made 5.1350 in"),
        ("130.43", "It would fit in mm"),
        ("0", "no bore has"),
        ("-5.1352", "no bore has"),
        ("5.1352 km", "not a unit"),
    ] {
        let reported = why(&at(1, value), &record);
        assert!(
            reported.contains(part) && reported.contains("Line 2, column diameter"),
            "{value}: {reported}"
        );
    }
    // A tenth below 5.1250, the smallest bore of the table, is the last that can be.
    assert!(doubt(2, "4.6125").contains("below the smallest as-made bore"));
    assert_eq!(
        why(&at(2, "4.6124"), &record),
        "Line 2, column diameter: refused: 4.6124 in is no diameter of a bore that is made 5.1250 in. Check the digits, the \
         unit, and whether it is a diameter at all."
    );
    assert!(why(&at(2, "5.7"), &record).contains("5.7 in is no diameter of a bore"));
    // A size that the table does not have: nothing to compare with.
    let mut strange = record.clone();
    strange.overhauls[2].cylinders[0].size = Size::Oversize("0.013".into());
    let import = of_csv(&at(1, "5.1352"), &strange, 2);
    assert!(import.implausible().any(|(.., why)| why.contains("no row for the size of this cylinder")));
}

#[test]
fn nothing_is_taken_over_half() {
    let record = with_gauges(|_| true);
    let of = |rows: &str| of_csv(&format!("position,station,axis,repeat,diameter\n{rows}"), &record, 2);
    // One repeat of three cannot be read: the mean of the others would be another one.
    let import = of("1,A,pin,1,5.1352\n1,A,pin,2,five\n1,A,pin,3,5.1353\n1,B,pin,1,5.1370\n");
    assert_eq!(import.refused.iter().map(|refused| refused.line).collect::<Vec<_>>(), [2, 3, 4]);
    assert_eq!((import.taken.len(), import.taken[0].station.as_str()), (1, "B"));
    assert_eq!(import.agreed(Consent::default()).unwrap_err(), [Obstacle::Refused(3)]);
    let others = Consent { leave_out_refused: true, ..Consent::default() };
    assert_eq!(import.agreed(others).expect("agreed").readings(), 1);
    // A repeat that is missing, one that is there twice, one without a number among others.
    for (rows, part) in [
        ("1,A,pin,1,5.1352\n1,A,pin,3,5.1353\n", "repeat 3 of its place, and repeat 2 is missing"),
        ("1,A,pin,1,5.1352\n1,A,pin,1,5.1353\n", "its place has repeat 1 in another row already"),
        ("1,A,pin,1,5.1352\n1,A,pin,,5.1353\n", "it has no repeat number, and others of its place have one"),
        ("1,A,pin,2,5.1352\n", "repeat 1 is missing"),
    ] {
        let import = of(rows);
        assert_eq!(import.taken, [], "{rows}");
        assert!(
            refused(&import).iter().any(|(_, words)| words.contains(part)),
            "{rows}: {:?}",
            import.refused
        );
    }
    // One that was not taken is said to be so by its own row.
    let import = of("1,A,pin,1,5.1352\n1,A,pin,2,\n1,A,pin,3,5.1353\n");
    assert_eq!((import.refused.len(), import.taken[0].texts()), (0, vec!["5.1352", "5.1353"]));
    let unnumbered = of("1,A,pin,,5.1352\n1,A,pin,,5.1353\n");
    assert_eq!(unnumbered.taken[0].texts(), ["5.1352", "5.1353"]);
    // A comma in the number: with its columns shifted, nothing is what it seems.
    for rows in ["1,A,pin,1,5,1352\n", "1,A,pin,1,5,\n"] {
        assert!(refused(&of(rows))[0].1.contains("decimal comma"), "{rows}");
    }
    let shifted = of_csv("position,station,axis,diameter,remark\n1,A,pin,5,1352\n", &record, 2);
    assert!(
        refused(&shifted)[0].1.contains("look like one number with a decimal comma"),
        "{:?}",
        shifted.refused
    );
}

#[test]
fn nothing_is_replaced_unasked() {
    let record = record(DEMO);
    let stands = record.overhauls[2].cylinders[0].readings[0].clone();
    let same = csv_file::text(&table(Part::Readings, &record, 2));
    let import = of_csv(&same, &record, 2);
    assert!(import.is_empty() && import.unchanged > 50, "{import:?}");
    // The same diameters, written otherwise and by the diameter alone: the record keeps what was typed.
    let grid = csv_file::read(&same).expect("a table");
    let evaluation = Evaluation::of(&record, 2, None);
    let mut diameters = Mapping::of(&grid);
    diameters.put_named(&grid, "reading", "-").expect("there");
    diameters.put_named(&grid, "gauge", "-").expect("there");
    diameters.put_named(&grid, "unit", "-").expect("there");
    let import = super::import::import(&grid, &diameters, &Unstated::default(), (&record, 2), &evaluation)
        .expect("read");
    assert!(import.taken.is_empty() && import.refused.is_empty(), "{import:?}");
    // Another reading, another gauge, other temperatures.
    let text = "position,station,axis,reading,barrel_c,gauge_c\n1,A,pin,+3,25,20\n";
    let import = of_csv(text, &record, 2);
    assert_eq!(import.taken[0].replaces, stands.entered);
    assert_eq!(import.agreed(Consent::default()).unwrap_err(), [Obstacle::Replaces(1, true)]);
    let other = &record.overhauls[2].gauges.iter().find(|gauge| gauge.reads == Diameter).expect("there").name;
    let text =
        format!("position,station,axis,gauge,diameter\n1,A,pin,{other},5.1352\n1,A,pin,{other},5.1352\n");
    let import = of_csv(&text, &record, 2);
    assert_eq!(import.taken[0].replaces, stands.entered, "the gauge is another one");
    // Why it stands is added where nothing is said yet.
    let text = "position,station,axis,reading,confirmed\n1,A,pin,+2,measured again\n1,A,pin,+2,\n";
    let import = of_csv(text, &record, 2);
    assert_eq!(
        (import.taken[0].confirmed.as_str(), import.obstacles(Consent::default())),
        ("measured again", vec![])
    );
}

#[test]
fn temperatures_are_one_pair_in_degrees_celsius() {
    let record = with_gauges(|_| true);
    let of = |header: &str, rows: &str| {
        of_csv(&format!("position,station,axis,diameter,{header}\n{rows}"), &record, 2)
    };
    let import = of("barrel_c,gauge_c", "1,A,pin,5.1352,20.5,20\n1,B,pin,5.1370,25,20\n");
    assert!(
        refused(&import)[0].1.contains("its temperatures are not those of line 2"),
        "{:?}",
        import.refused
    );
    let import = of("barrel_c,gauge_c", "1,A,pin,5.1352,20.5,\n");
    assert!(refused(&import)[0].1.contains("of the barrel and not of the gauge"), "{:?}", import.refused);
    let grid =
        csv_file::read("position,station,axis,diameter,Barrel (°F)\n1,A,pin,5.1352,70\n").expect("a table");
    let mut mapping = Mapping::of(&grid);
    mapping.put_named(&grid, "Barrel (°F)", "barrel_c").expect("there");
    let evaluation = Evaluation::of(&record, 2, None);
    let error =
        super::import::import(&grid, &mapping, &Unstated::default(), (&record, 2), &evaluation).unwrap_err();
    assert!(error.message.contains("not in degrees Celsius"), "{error}");
}

#[test]
fn cylinders_that_may_be_meant_are_told_apart() {
    let mut record = with_gauges(|_| true);
    record.overhauls[2].cylinders[1].serial = "WX-0411".into();
    let by = |row: &str| {
        of_csv(&format!("position,cylinder,station,axis,diameter\n{row},A,pin,5.1352\n"), &record, 2)
    };
    let serial = by(",WX-0411");
    assert!(
        refused(&serial)[0].1.contains("2 cylinders that it may mean. Write both"),
        "{:?}",
        serial.refused
    );
    assert_eq!(by("2,WX-0411").taken[0].cylinder, 1);
    assert_eq!(by("1,WX-0411").taken[0].cylinder, 0);
}

#[cfg(feature = "exchange")]
#[test]
fn a_cell_that_a_spreadsheet_could_not_work_out_is_no_empty_one() {
    use rust_xlsxwriter::{Formula, Workbook};
    let mut book = Workbook::new();
    let sheet = book.add_worksheet();
    for (column, name) in (0_u16..).zip(["Position", "Station", "Axis", "Diameter"]) {
        sheet.write_string(0, column, name).expect("written");
    }
    for (column, text) in (0_u16..).zip(["1", "A", "pin"]) {
        sheet.write_string(1, column, text).expect("written");
    }
    sheet.write_formula(1, 3, Formula::new("=1/0").set_result("#DIV/0!")).expect("written");
    let grid = book::from_bytes(&book.save_to_buffer().expect("a workbook")).expect("read");
    let import = imported(&grid, &with_gauges(|_| true), 2);
    assert!(refused(&import)[0].1.contains("#DIV/0!"), "{:?} {:?}", import.refused, import.notes);
}

#[test]
fn nothing_is_taken_for_a_gauge_that_is_not_judged_by() {
    // Without the size of a graduation, "+2" would be two inches.
    let mut dial = with_gauges(|gauge| gauge.name == "bore gauge on the 5.1350 ring");
    dial.overhauls[2].gauges[0].graduation = None;
    let reported = why("position,station,axis,reading\n1,A,pin,+2\n", &dial);
    assert!(
        reported.contains("are not judged: ") && reported.contains("Put that right in the record first"),
        "{reported}"
    );
}
