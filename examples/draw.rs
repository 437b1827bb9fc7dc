//! Draws every view of every cylinder of a record's last overhaul as SVG into a directory.
//!
//! `cargo run --example draw --no-default-features -- demo/wexcombe_six.ron target/drawings`

use std::error::Error;
use std::path::PathBuf;

use borewright::drawing::layout::{Paper, lay_out};
use borewright::drawing::svg::svg;
use borewright::drawing::{Options, Subject, View};
use borewright::{file, judge, record};

fn main() -> Result<(), Box<dyn Error>> {
    let mut arguments = std::env::args_os().skip(1).map(PathBuf::from);
    let (Some(path), Some(into)) = (arguments.next(), arguments.next()) else {
        return Err("name a record and a directory".into());
    };
    let record = file::load_record(&path).value.ok_or("the record cannot be read")?;
    let last = record.overhauls.len().saturating_sub(1);
    let survey = record::resolve::survey(&record, last, None).value.ok_or("the record cannot be judged")?;
    std::fs::create_dir_all(&into)?;
    for (number, cylinder) in survey.cylinders.iter().enumerate() {
        let assessment = judge::assess(cylinder, &survey);
        let subject = Subject { survey: &survey, cylinder, assessment: &assessment };
        for view in View::ALL {
            let drawing = view.draw(subject, &Options::default());
            let sheet = lay_out(&drawing, Paper::default(), None);
            std::fs::write(into.join(format!("{}-{view:?}.svg", number + 1)), svg(&sheet))?;
        }
    }
    Ok(())
}
