//! Out and in again: nothing is lost, and what cannot be taken is told with its line.

use proptest::prelude::*;

use super::import::{Import, import};
use super::mapping::{Field, Mapping};
use super::table::{Grid, Table};
use super::*;
use crate::file;
use crate::length::Unit;
use crate::limits::schema::Size;
use crate::record::schema::{Decision, Disposition, EngineRecord, Reading};
use crate::session::{Command, Session};

const DEMO: &str = include_str!("../../demo/wexcombe_six.ron");
const MARINE: &str = include_str!("../../demo/skarvoy_320.ron");

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
    import(grid, &Mapping::of(grid), None, (record, index), &evaluation).expect("it has its columns")
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

/// Takes an import over, as one step.
fn taken_over(record: EngineRecord, index: usize, import: Import) -> Session {
    let mut session = Session::new(record);
    session.choose_overhaul(index);
    session.dispatch(Command::Import(Box::new(import))).expect("taken over");
    session
}

/// Readings in one order, the first gauge named as the file names it.
fn sorted(record: &EngineRecord, index: usize) -> Vec<Vec<Reading>> {
    let first = record.overhauls[index].gauges.first().map(|gauge| gauge.name.clone());
    let readings = |cylinder: &crate::record::schema::Cylinder| {
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
    let session = taken_over(emptied(record, index), index, import);
    let after = session.record();
    assert_eq!(sorted(after, index), sorted(record, index));
    let both =
        |record: &EngineRecord| record.overhauls[index].temperatures.as_ref().map(|t| (t.barrel, t.gauge));
    let any = record.overhauls[index].cylinders.iter().any(|cylinder| !cylinder.readings.is_empty());
    assert_eq!(both(after), both(record).filter(|_| any));
}

fn through_csv(table: &Table) -> Grid {
    csv_file::read(&csv_file::text(table)).expect("a table")
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
            (0_usize..3, 0_usize..5, 0_usize..2, proptest::collection::vec("\\+[0-9]{1,2}|-[0-9]{1,2}|5\\.1[0-9]{2,5} in|130,[0-9]{2} mm", 1..5), "['=+@a-zé;,\" ]{0,8}"),
            0..12),
        barrel in proptest::option::of(-20.0_f64..60.0),
    ) {
        let mut made = emptied(&record(DEMO), 2);
        let limits = made.tables[0].clone();
        let overhaul = &mut made.overhauls[2];
        overhaul.temperatures = barrel.map(|barrel| crate::record::schema::Temperatures {
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
            drop(import(&grid, &mapping, None, (&record, 0), &evaluation));
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
    assert!(first.starts_with("W6-0001,2023-03-14,1,WX-0411,A,pin,1,+2,in,"), "{first}");
    assert!(first.contains(",5.1352,"), "+2 on a ring of 5.1350: {first}");
}

#[test]
fn figures_and_outcomes_are_numbers_with_their_unit_in_the_heading() {
    let record = record(DEMO);
    let figures = csv_file::text(&table(Part::Figures, &record, 2));
    assert!(
        figures.starts_with("position,cylinder,figure,rule,in force,\"value, in\",complete,place\r\n"),
        "{figures}"
    );
    // 5.1304 in as read, half a kelvin warmer than the gauge, of the same steel: less 0.000 029 5.
    assert!(figures.contains("4,WX-0702,largest diameter,,no,5.1303705"), "{figures}");
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
    assert_eq!(mapping.unit(Field::Diameter), Some(Unit::Millimetre));
    assert!(mapping.missing().is_empty());
    // 130.48 mm is no whole number of ten-thousandths of an inch on its dial.
    let import = imported(&grid, &record, 2);
    assert!(import.refused[0].1.contains("no whole number of graduations"), "{:?}", import.refused);
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
        assert_eq!(of_csv(text, &record, 2).taken, expected.taken, "{text:?}");
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
    assert!(refused.refused[0].1.contains("decimal comma"), "{:?}", refused.refused);
    let refused = with("position;station;axis;diameter_mm\nPOS;ST;AX;1.320,15\n");
    assert!(refused.refused[0].1.contains("more than one decimal sign"), "{:?}", refused.refused);
}

#[test]
fn every_bad_row_is_told_with_its_line_and_the_others_are_taken() {
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
    let told: Vec<usize> = import.refused.iter().map(|(line, _)| *line).collect();
    assert_eq!(told, (3..=16).collect::<Vec<_>>(), "{:#?}", import.refused);
    let parts = [
        "engine `W6-0002`",
        "overhaul `2022-01-01`",
        "no cylinder of position `9`",
        "stands at position `1`",
        "no station `Q`",
        "no axis `diagonal`",
        "`0` is no repeat",
        "stands in a row above",
        "no reading",
        "`five` is not a length",
        "`furlong` is no unit",
        "no gauge `a stick`",
        "`hot` is no temperature",
        "names no cylinder",
    ];
    for ((_, reason), part) in import.refused.iter().zip(parts) {
        assert!(reason.contains(part), "{part}: {reason}");
    }
    assert_eq!(import.taken.len(), 1);
    assert_eq!(import.taken[0].entered, ["+7", "+8"]);
}

#[test]
fn missing_columns_are_told_and_can_be_named() {
    let record = record(DEMO);
    let grid = csv_file::read("where,pos,axis,what\nA,1,pin,+7\n").expect("a table");
    let evaluation = Evaluation::of(&record, 2, None);
    let mut mapping = Mapping::of(&grid);
    assert_eq!(mapping.missing(), ["station", "reading or diameter"]);
    let error = import(&grid, &mapping, None, (&record, 2), &evaluation).unwrap_err();
    assert!(error.message.contains("station, nor the reading"), "{error}");
    mapping.put_named(&grid, "Where", "station").expect("there");
    mapping.put_named(&grid, "what", "reading").expect("there");
    assert!(mapping.put_named(&grid, "whot", "reading").unwrap_err().remedy.contains("Is `what` meant"));
    assert!(mapping.put_named(&grid, "what", "colour").unwrap_err().message.contains("colour"));
    let import = import(&grid, &mapping, None, (&record, 2), &evaluation).expect("all there");
    assert_eq!(import.taken[0].entered, ["+7"]);
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
    let import =
        import(&grid, &Mapping::of(&grid), Some(Unit::Inch), (&record, 0), &evaluation).expect("read");
    assert!(import.refused.is_empty(), "{:?}", import.refused);
    let session = taken_over(record.clone(), 0, import);
    let limits = session.evaluation().limits().expect("a table");
    let at = crate::bore::Point::new(0, 0);
    let cylinder = session.cylinder(0).expect("there");
    let kept = crate::session::command::reading(cylinder, limits, at).expect("taken");
    let cell = session.evaluation().survey.as_ref().expect("read").cylinders[0].bore.cell(at).expect("read");
    let wanted = crate::length::Length::parse("12.6 in", Unit::Inch).expect("a length").length;
    assert_eq!(cell.as_read(), [wanted], "{kept:?}");
}

#[test]
fn an_import_is_one_step_and_not_into_a_signed_overhaul() {
    let record = record(DEMO);
    let import = of_csv("position,station,axis,reading\n1,A,pin,+7\n2,A,pin,+8\n", &record, 2);
    assert_eq!(import.replaces(&record.overhauls[2]), 2);
    let mut session = taken_over(record.clone(), 2, import.clone());
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
    let refused = session.dispatch(Command::Import(Box::new(import))).expect_err("signed");
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
    assert!(import.refused[0].1.len() < 5_000);
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
    assert_eq!(import.taken[0].entered, ["7"]);
    assert_eq!(
        (import.taken[0].axis.as_str(), import.temperatures.as_ref().map(|t| t.barrel)),
        ("thrust", Some(20.3))
    );
}
