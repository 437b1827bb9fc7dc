//! One drawing of a cylinder's bore as a picture file.

use std::io::{self, Write};

use super::args::Plot;
use super::files;
use super::judged;
use super::telling::{Status, any_error, status, tell};
use super::text::clean;
use drawings::layout::{Paper, lay_out};
use drawings::picture;
use drawings::{Options, Subject};
use records::diag::{Diagnostic, WithDiagnostics};
use records::folder::Input;

/// `borewright plot`
///
/// # Errors
/// If the output cannot be written.
pub fn plot(typed: &Plot, out: &mut impl Write, errors: &mut impl Write) -> io::Result<Status> {
    let input = Input { path: typed.record.clone(), found: false };
    let Some(WithDiagnostics { value, mut diagnostics }) = judged::surveyed(&input, typed.overhaul, None)
    else {
        return Ok(Status::Done);
    };
    let mut bad = any_error(&diagnostics);
    if let [surveyed] = value.as_slice() {
        match draw(typed, surveyed) {
            Ok(name) => writeln!(out, "{}", clean(&name))?,
            Err(error) => {
                diagnostics.push(error);
                bad = true;
            }
        }
    } else if !value.is_empty() {
        diagnostics.push(judged::several(value.len()).in_file(&typed.record));
        bad = true;
    }
    tell(&diagnostics, errors)?;
    Ok(status(bad))
}

/// Draws the cylinder that is meant, and says what was written.
fn draw(typed: &Plot, surveyed: &judged::Surveyed) -> Result<String, Diagnostic> {
    let survey = &surveyed.survey;
    let written = surveyed.overhaul().map_or(&[][..], |overhaul| &overhaul.cylinders);
    let index = judged::cylinder(written, &typed.cylinder).map_err(|error| error.in_file(&surveyed.file))?;
    let Some(cylinder) = survey.cylinders.get(index) else {
        return Err(Diagnostic::error("This cylinder cannot be read.").in_file(&surveyed.file));
    };
    let assessment = judging::assess(cylinder, survey);
    let subject = Subject { survey, cylinder, assessment: &assessment };
    let drawing = typed.view.draw(subject, &Options::default());
    let sheet = lay_out(&drawing, Paper::default(), None);
    picture::save(&sheet, &typed.out, files::replaced(typed.force)).map_err(files::not_written)?;
    Ok(format!("{}: {} is written to {}.", cylinder.words(), typed.view.words(), typed.out.display()))
}
