//! What can be typed, and the help, shell completions and manual page made from it.

use std::io::{self, Write};
use std::path::PathBuf;
use std::str::FromStr;

use clap::{CommandFactory as _, Parser, Subcommand};
use jiff::civil::Date;

use drawings::View;
use quantities::length::Unit;
use work::exchange::Part;

/// Shown behind the help and in the manual page.
const EXIT_STATUS: &str = "Exit status:
  0  done
  2  bad input or usage; files that can be read are worked on all the same
  3  done, every file is written, but what there is to say could not be

Borewright compares and suggests. A licensed person decides, under the maker's current manual and local rules.";

/// The command line.
#[derive(Debug, Parser)]
#[command(
    name = "borewright",
    version,
    about = "Cylinder bore readings in, exact figures and a reasoned recommendation out",
    long_about = "Reads the record of an engine overhaul: the bore readings of every cylinder and the table of \
                  limits they are judged by. Computes every figure exactly and recommends for each cylinder: \
                  serviceable, rebore to an oversize, replace, or not decided, with its reasons and how sure it is.",
    after_help = EXIT_STATUS,
    max_term_width = 100,
    disable_help_subcommand = true,
    args_conflicts_with_subcommands = true
)]
pub struct Args {
    /// An engine record to open in the window; without it, and without a command, the start page
    #[arg(value_name = "FILE")]
    pub file: Option<PathBuf>,
    /// What to do.
    #[command(subcommand)]
    pub command: Option<Command>,
}

/// What to do.
#[derive(Debug, Subcommand)]
pub enum Command {
    /// Recommend an outcome for every cylinder, with its reasons
    #[command(after_help = EXIT_STATUS, long_about = "Recommends an outcome for every cylinder of the chosen overhaul, with its reasons, the ladder \
                  of oversizes where the wall has to be cut, and how sure each row is. A folder stands for all \
                  engine records in it and in the folders under it (*.ron); tables of limits in it are passed over. A fleet is one \
                  CSV file with one reading in each row (*.csv); it needs --limits.")]
    Judge(Judge),
    /// Tell every problem of records and tables of limits
    #[command(after_help = EXIT_STATUS, long_about = "Tells every problem of engine records and tables of limits, not only the first, each with its \
                  file, line and column. Errors must be put right before the part they concern can be judged; \
                  notes are worth knowing. A folder stands for all *.ron files in it and in the folders under it.")]
    Check(Check),
    /// Show every figure of every cylinder, under every rule in use, side by side
    #[command(after_help = EXIT_STATUS, long_about = "Shows every figure of every cylinder under every rule in use, side by side, and which rule is in \
                  force: taper, out-of-round, choke, step, wear, shape, ring gaps, displacement.")]
    Figures(Figures),
    /// Follow cylinders across overhauls: how fast they wear, which one stands out, when a limit is reached
    #[command(after_help = EXIT_STATUS, long_about = "Follows every cylinder by its serial number through the overhauls of one or many engine records: \
                  how fast each figure changes, how sure that is, when its limit is reached, and whether one \
                  cylinder of an engine wears faster than the others. A folder stands for all engine records in \
                  it and in the folders under it (*.ron).")]
    Trend(Trend),
    /// Write an exercise for the classroom and, apart, its key
    #[command(after_help = EXIT_STATUS, long_about = "Writes an engine record with five cylinders, each with a task: measure, find which figure is out, \
                  choose the outcome, spot the slip, choose the taper rule. The same seed number gives the same \
                  exercise for ever. The key goes into a file of its own. Everything in it is invented.")]
    Practise(Practise),
    /// Mark a filled exercise by its key
    #[command(after_help = EXIT_STATUS, long_about = "Compares a filled exercise with the truth and with what its gauge could have known, and says what \
                  went wrong.")]
    Mark(Mark),
    /// Work out a gauge study: repeatability and reproducibility
    #[command(after_help = EXIT_STATUS, long_about = "Works out a gauge study by analysis of variance: several people measure several parts several times. \
                  The file has the columns part, operator, trial and value, with a line of headers.")]
    Study(Study),
    /// Sign an overhaul: from then on it is closed, and any change to it shows
    #[command(after_help = EXIT_STATUS, long_about = "Lists what stands open at an overhaul, then closes it under a name, a certificate and a date and \
                  seals its content by a digest. From then on it is not changed; a change is an amendment. `check` says \
                  whether it is as it was signed. It shows that something was changed, not who a person is.")]
    Seal(Seal),
    /// Amend a signed overhaul: who, why, and each value before and after
    #[command(after_help = EXIT_STATUS, long_about = "Changes values of a signed overhaul and writes down who did, when, why, and what stood before and \
                  after, chained to the signature. Fields are named as `check` names them: overhaul.total_hours, or \
                  overhaul.cylinders[0].readings[1].entered[0], counted from 0. The element behind the last one adds to a \
                  list; an empty value takes an optional value or an element away.")]
    Amend(Amend),
    /// Write the readings, figures and outcomes of an overhaul as CSV or as a workbook
    #[command(after_help = EXIT_STATUS, long_about = "Writes an overhaul for other programs. CSV holds one table: the readings, each as it was typed and as \
                  the diameter it stands for, or with --part the figures or the outcomes. A workbook (.xlsx) has all three \
                  on sheets, with real numbers and their units in the headings.")]
    Export(Export),
    /// Take readings from CSV or a workbook over into a record
    #[command(after_help = EXIT_STATUS, long_about = "Reads a table with one reading in each row: position or cylinder, station, axis, and reading or \
                  diameter. Headings are matched without regard to capitals, blanks and signs; their usual other names \
                  are known. Shows which column is what and every row that is refused, with its line and reason; the \
                  others are taken over, unless --dry-run is given.")]
    Import(Import),
    /// Draw a cylinder's bore as SVG or PNG
    #[command(after_help = EXIT_STATUS)]
    Plot(Plot),
    /// Print the report of an overhaul as PDF, for the engine's papers
    #[cfg(feature = "paper")]
    #[command(after_help = EXIT_STATUS, long_about = "Prints the report of an overhaul as PDF: outcomes with the person's own decision, readings, figures and \
                  limits side by side, drawings, findings, fits, how sure it is, the table of limits, and a block to sign. \
                  Each record goes into a PDF of its own, and many are set at once. A folder stands for all engine \
                  records in it and in the folders under it (*.ron).")]
    Report(Report),
    /// Print a blank check sheet for a table of limits or for a record
    #[cfg(feature = "paper")]
    #[command(after_help = EXIT_STATUS, long_about = "Prints blank check sheets as PDF, for those who write at the bench and type later: stations drawn on a \
                  barrel, a cell for every reading in measuring order, limits beside them, room for findings and a signature. \
                  For a table of limits as many as its engine has cylinders, for a record one for each of its cylinders.")]
    Sheet(Sheet),
    /// Print tags for the cylinders of a record
    #[cfg(feature = "paper")]
    #[command(after_help = EXIT_STATUS, long_about = "Prints tags to be tied to the cylinders as they come off: engine, position, serial number, and a code that \
                  holds the same as plain text.")]
    Tags(Tags),
    /// Print a script that completes commands and options in a shell
    Completions {
        /// The shell
        shell: clap_complete::Shell,
    },
    /// Print the manual page, to be read with `man -l`
    Manual,
}

impl Command {
    /// Does it write JSON to its output?
    pub fn writes_json(&self) -> bool {
        match self {
            Self::Judge(typed) => typed.json || typed.json_lines,
            Self::Figures(typed) => typed.json,
            Self::Trend(typed) => typed.json,
            Self::Mark(typed) => typed.json,
            Self::Study(typed) => typed.json,
            _ => false,
        }
    }
}

/// `borewright judge`
#[derive(Debug, clap::Args)]
pub struct Judge {
    /// Engine records, folders that hold them, or fleets in CSV files
    #[arg(required = true, value_name = "FILE")]
    pub files: Vec<PathBuf>,
    /// Judge by this table of limits instead of the one kept in the record
    #[arg(long, value_name = "FILE")]
    pub limits: Option<PathBuf>,
    /// Which overhaul: a date such as 2024-05-14, a number counted from 1, `latest` or `all`
    #[arg(long, value_name = "WHICH", default_value = "latest")]
    pub overhaul: Which,
    /// Print the uncertainty budget of every row as well, line by line (JSON always has them)
    #[arg(long)]
    pub budgets: bool,
    /// Print one JSON document with everything, for programs
    #[arg(long, conflicts_with = "json_lines")]
    pub json: bool,
    /// Print JSON with one engine or one error in each line, as they are done
    #[arg(long)]
    pub json_lines: bool,
}

/// `borewright check`
#[derive(Debug, clap::Args)]
pub struct Check {
    /// Engine records and tables of limits, or folders that hold them
    #[arg(required = true, value_name = "FILE")]
    pub files: Vec<PathBuf>,
}

/// `borewright figures`
#[derive(Debug, clap::Args)]
pub struct Figures {
    /// An engine record
    #[arg(value_name = "FILE")]
    pub file: PathBuf,
    /// Use this table of limits instead of the one kept in the record
    #[arg(long, value_name = "FILE")]
    pub limits: Option<PathBuf>,
    /// Which overhaul: a date such as 2024-05-14, a number counted from 1, `latest` or `all`
    #[arg(long, value_name = "WHICH", default_value = "latest")]
    pub overhaul: Which,
    /// Print JSON for programs instead of text
    #[arg(long)]
    pub json: bool,
}

/// `borewright trend`
#[derive(Debug, clap::Args)]
pub struct Trend {
    /// Engine records, or folders that hold them
    #[arg(required = true, value_name = "FILE")]
    pub files: Vec<PathBuf>,
    /// Show this cylinder alone, with all its figures
    #[arg(long, value_name = "SERIAL")]
    pub serial: Option<String>,
    /// Which figure: bore, wear, taper, out-of-round, choke, step, skirt, a station, or `B thrust`; without it, the
    /// one whose limit is reached first
    #[arg(long, value_name = "FIGURE")]
    pub figure: Option<String>,
    /// Say what to expect after so many more hours of running
    #[arg(long, value_name = "HOURS", value_parser = hours)]
    pub at: Option<f64>,
    /// Follow by the calendar, in years, instead of by hours of running
    #[arg(long, conflicts_with_all = ["at", "json"])]
    pub by_date: bool,
    /// Keep what was read in this folder, so that only changed records are read the next time
    #[arg(long, value_name = "FOLDER")]
    pub index: Option<PathBuf>,
    /// Print one JSON document with everything, for programs
    #[arg(long)]
    pub json: bool,
}

/// Hours of running.
fn hours(text: &str) -> Result<f64, String> {
    match text.parse::<f64>() {
        Ok(hours) if (0.0..=1e6).contains(&hours) => Ok(hours),
        _ => Err("write hours of running from 0 to 1000000, such as 1500".to_owned()),
    }
}

/// `borewright practise`
#[derive(Debug, clap::Args)]
pub struct Practise {
    /// The number that names the exercise
    #[arg(long, value_name = "N")]
    pub seed: u64,
    /// Exercise by this table of limits instead of an invented one
    #[arg(long, value_name = "FILE")]
    pub limits: Option<PathBuf>,
    /// Write the record here instead of practice-N.ron
    #[arg(long, value_name = "FILE")]
    pub record: Option<PathBuf>,
    /// Write the key here instead of practice-N-key.ron
    #[arg(long, value_name = "FILE")]
    pub key: Option<PathBuf>,
}

/// `borewright mark`
#[derive(Debug, clap::Args)]
pub struct Mark {
    /// The filled exercise record
    #[arg(value_name = "RECORD")]
    pub record: PathBuf,
    /// The key that was written with it
    #[arg(long, value_name = "FILE")]
    pub key: PathBuf,
    /// Show the key's working as well
    #[arg(long, conflicts_with = "json")]
    pub working: bool,
    /// Print one JSON document, for programs
    #[arg(long)]
    pub json: bool,
}

/// `borewright study`
#[derive(Debug, clap::Args)]
pub struct Study {
    /// The readings, as CSV
    #[arg(value_name = "FILE")]
    pub file: PathBuf,
    /// The unit of values that name none, and of what is shown
    #[arg(long, value_enum, default_value = "in")]
    pub unit: UnitName,
    /// Compare with a tolerance of this width, such as 0.002 or "0.05 mm"
    #[arg(long, value_name = "LENGTH")]
    pub tolerance: Option<String>,
    /// Print one JSON document, for programs; its lengths are in millimetres
    #[arg(long)]
    pub json: bool,
}

/// `borewright export`
#[derive(Debug, clap::Args)]
pub struct Export {
    /// An engine record
    #[arg(value_name = "RECORD")]
    pub record: PathBuf,
    /// Write here; the name ends in .csv or .xlsx
    #[arg(long, value_name = "FILE")]
    pub out: PathBuf,
    /// Overwrite a file that is there
    #[arg(long)]
    pub force: bool,
    /// Which overhaul: a date such as 2024-05-14, a number counted from 1, or `latest`
    #[arg(long, value_name = "WHICH", default_value = "latest")]
    pub overhaul: Which,
    /// What a CSV file holds: readings, figures or outcomes
    #[arg(long, value_name = "PART", default_value = "readings", value_parser = part)]
    pub part: Part,
}

/// `borewright import`
#[derive(Debug, clap::Args)]
pub struct Import {
    /// The readings, as CSV or as a workbook
    #[arg(value_name = "FILE")]
    pub file: PathBuf,
    /// The engine record that they are taken over into; it is written anew
    #[arg(long, value_name = "RECORD")]
    pub into: PathBuf,
    /// Which overhaul: a date such as 2024-05-14, a number counted from 1, or `latest`
    #[arg(long, value_name = "WHICH", default_value = "latest")]
    pub overhaul: Which,
    /// The unit of readings that name none, neither themselves nor in their row or heading
    #[arg(long, value_enum)]
    pub unit: Option<UnitName>,
    /// What a column holds: its heading, and a field or - for none; may be given several times
    #[arg(long, value_name = "HEADING=FIELD", value_parser = field_value)]
    pub map: Vec<(String, String)>,
    /// The gauge of rows that name none
    #[arg(long, value_name = "NAME")]
    pub gauge: Option<String>,
    /// Only show which column is what, and the gauge, unit and diameter of each row
    #[arg(long)]
    pub dry_run: bool,
    /// Take the other places although rows are refused
    #[arg(long)]
    pub leave_out_refused: bool,
    /// Take values that are not likely to be diameters of their bore
    #[arg(long)]
    pub accept_implausible: bool,
    /// Replace readings and temperatures that the record holds
    #[arg(long)]
    pub replace: bool,
}

/// `borewright plot`
#[derive(Debug, clap::Args)]
pub struct Plot {
    /// An engine record
    #[arg(value_name = "RECORD")]
    pub record: PathBuf,
    /// The cylinder, by its position or its serial
    #[arg(long, value_name = "CYLINDER")]
    pub cylinder: String,
    /// The drawing: profile, taper, out-of-round, section, cut-open or unrolled
    #[arg(long, value_name = "VIEW", default_value = "profile", value_parser = view)]
    pub view: View,
    /// Write here; the name ends in .svg or .png
    #[arg(long, value_name = "FILE")]
    pub out: PathBuf,
    /// Overwrite a file that is there
    #[arg(long)]
    pub force: bool,
    /// Which overhaul: a date such as 2024-05-14, a number counted from 1, or `latest`
    #[arg(long, value_name = "WHICH", default_value = "latest")]
    pub overhaul: Which,
}

/// Who signs, and when.
#[derive(Debug, clap::Args)]
pub struct SignedBy {
    /// Name of the person who signs
    #[arg(long, value_name = "NAME")]
    pub name: String,
    /// Certificate or licence of that person
    #[arg(long, value_name = "TEXT")]
    pub certificate: String,
    /// The day, as year-month-day
    #[arg(long, value_name = "DATE")]
    pub date: Date,
}

/// `borewright seal`
#[derive(Debug, clap::Args)]
pub struct Seal {
    /// The engine record; it is written anew
    #[arg(value_name = "RECORD")]
    pub record: PathBuf,
    /// Which overhaul: a date such as 2024-05-14, a number counted from 1, or `latest`
    #[arg(long, value_name = "WHICH", default_value = "latest")]
    pub overhaul: Which,
    /// Who signs.
    #[command(flatten)]
    pub by: SignedBy,
}

/// `borewright amend`
#[derive(Debug, clap::Args)]
pub struct Amend {
    /// The engine record; it is written anew
    #[arg(value_name = "RECORD")]
    pub record: PathBuf,
    /// Which overhaul: a date such as 2024-05-14, a number counted from 1, or `latest`
    #[arg(long, value_name = "WHICH", default_value = "latest")]
    pub overhaul: Which,
    /// Who amends.
    #[command(flatten)]
    pub by: SignedBy,
    /// Why, in a sentence
    #[arg(long, value_name = "TEXT")]
    pub why: String,
    /// A value and what is to stand there; may be given several times
    #[arg(long, value_name = "FIELD=VALUE", required = true, value_parser = field_value)]
    pub set: Vec<(String, String)>,
}

/// Two texts with `=` between.
fn field_value(text: &str) -> Result<(String, String), String> {
    let (field, value) =
        text.split_once('=').ok_or("write two texts with = between, such as overhaul.total_hours=1820.5")?;
    Ok((field.trim().to_owned(), value.trim().to_owned()))
}

/// What everything that is printed has in common.
#[cfg(feature = "paper")]
#[derive(Debug, clap::Args)]
pub struct Printed {
    /// Files, or folders that hold engine records
    #[arg(required = true, value_name = "FILE")]
    pub files: Vec<PathBuf>,
    /// Which overhaul: a date such as 2024-05-14, a number counted from 1, `latest` or `all`
    #[arg(long, value_name = "WHICH", default_value = "latest")]
    pub overhaul: Which,
    /// Print this cylinder alone, by its position or serial number
    #[arg(long, value_name = "N")]
    pub cylinder: Option<String>,
    /// The paper
    #[arg(long, value_enum, default_value = "a4")]
    pub page: PageName,
    /// Set it by the templates of this folder, where it has them
    #[arg(long, value_name = "FOLDER")]
    pub template: Option<PathBuf>,
    /// End the setting of a document by these templates after so many seconds
    #[arg(long, value_name = "SECONDS", default_value_t = paper::Bounds::default().time.as_secs(), requires = "template",
        value_parser = clap::value_parser!(u64).range(1..=86_400))]
    pub template_seconds: u64,
    /// End it when it takes more memory than so many MiB; on Linux alone
    #[arg(long, value_name = "MIB", default_value_t = paper::Bounds::default().memory >> 20, requires = "template",
        value_parser = clap::value_parser!(u64).range(64..=1_048_576))]
    pub template_memory: u64,
    /// Write to this PDF, or into this folder, instead of the usual name in the present folder
    #[arg(long, value_name = "PLACE")]
    pub out: Option<PathBuf>,
    /// Overwrite files that are there
    #[arg(long)]
    pub force: bool,
}

/// `borewright report`
#[cfg(feature = "paper")]
#[derive(Debug, clap::Args)]
#[command(mut_arg("files", |files| files.required(false).required_unless_present("write_template")))]
pub struct Report {
    /// What all that is printed has in common.
    #[command(flatten)]
    pub printed: Printed,
    /// Judge by this table of limits instead of the one kept in the record
    #[arg(long, value_name = "FILE")]
    pub limits: Option<PathBuf>,
    /// Write the built-in templates into this folder, to be changed, and print nothing
    #[arg(long, value_name = "FOLDER", conflicts_with = "files")]
    pub write_template: Option<PathBuf>,
}

/// `borewright sheet`
#[cfg(feature = "paper")]
#[derive(Debug, clap::Args)]
pub struct Sheet {
    /// What all that is printed has in common.
    #[command(flatten)]
    pub printed: Printed,
    /// Use this table of limits instead of the one kept in the record
    #[arg(long, value_name = "FILE")]
    pub limits: Option<PathBuf>,
    /// Number the cells so that every axis is measured at each depth before the next one
    #[arg(long)]
    pub depth_by_depth: bool,
}

/// `borewright tags`
#[cfg(feature = "paper")]
#[derive(Debug, clap::Args)]
pub struct Tags {
    /// What all that is printed has in common.
    #[command(flatten)]
    pub printed: Printed,
}

/// A paper as it is typed.
#[cfg(feature = "paper")]
#[derive(Clone, Copy, Debug, PartialEq, Eq, clap::ValueEnum)]
pub enum PageName {
    /// A4, 210 by 297 mm
    A4,
    /// US Letter, 8.5 by 11 in
    Letter,
}

/// A unit as it is typed.
#[derive(Clone, Copy, Debug, PartialEq, Eq, clap::ValueEnum)]
pub enum UnitName {
    /// Inches
    In,
    /// Millimetres
    Mm,
}

impl From<UnitName> for Unit {
    fn from(name: UnitName) -> Self {
        match name {
            UnitName::In => Self::Inch,
            UnitName::Mm => Self::Millimetre,
        }
    }
}

/// Which overhauls of a record.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Which {
    /// The one with the latest date.
    Latest,
    /// Every one.
    All,
    /// The one with this number, counted from 1.
    Number(usize),
    /// Those of this day.
    Day(Date),
}

impl FromStr for Which {
    type Err = String;

    fn from_str(text: &str) -> Result<Self, String> {
        if text == "latest" {
            return Ok(Self::Latest);
        }
        if text == "all" {
            return Ok(Self::All);
        }
        if let Ok(number) = text.parse::<usize>() {
            return match number {
                0 => Err("overhauls are counted from 1".to_owned()),
                _ => Ok(Self::Number(number)),
            };
        }
        text.parse::<Date>().map(Self::Day).map_err(|_| {
            "write a date such as 2024-05-14, a number counted from 1, `latest` or `all`".to_owned()
        })
    }
}

/// A part of an overhaul, as it is typed.
fn part(text: &str) -> Result<Part, String> {
    let plain = text.trim().to_lowercase();
    let known = Part::ALL.into_iter().find(|part| part.words().to_lowercase() == plain);
    known.ok_or_else(|| "write readings, figures or outcomes".to_owned())
}

/// A drawing, as it is typed.
fn view(text: &str) -> Result<View, String> {
    let known = NAMES.iter().find(|(name, _)| *name == text.trim().to_lowercase());
    known.map(|(_, view)| *view).ok_or_else(|| {
        let names: Vec<_> = NAMES.iter().map(|(name, _)| *name).collect();
        format!("write {}", names.join(", "))
    })
}

/// The drawings by the names that are typed.
const NAMES: [(&str, View); 6] = [
    ("profile", View::Profile),
    ("taper", View::Taper),
    ("out-of-round", View::OutOfRound),
    ("section", View::Section),
    ("cut-open", View::CutOpen),
    ("unrolled", View::Unrolled),
];

/// Prints the help of the whole command.
///
/// # Errors
/// If the output cannot be written.
pub fn help(out: &mut impl Write) -> io::Result<()> {
    let mut command = Args::command();
    writeln!(out, "{}", command.render_help().ansi())
}

/// Prints the completion script of a shell.
///
/// # Errors
/// If the output cannot be written.
pub fn completions(shell: clap_complete::Shell, out: &mut impl Write) -> io::Result<()> {
    // The generator panics on an output that cannot be written, so it writes to memory.
    let mut script = Vec::new();
    clap_complete::generate(shell, &mut Args::command(), "borewright", &mut script);
    out.write_all(&script)
}

/// Prints the manual page: one page for the command and all its subcommands.
///
/// # Errors
/// If the output cannot be written.
pub fn manual(out: &mut impl Write) -> io::Result<()> {
    let mut command = Args::command();
    command.build();
    let page = clap_mangen::Man::new(command.clone()).section("1");
    page.render_title(out)?;
    page.render_name_section(out)?;
    page.render_synopsis_section(out)?;
    page.render_description_section(out)?;
    page.render_options_section(out)?;
    for subcommand in command.get_subcommands().filter(|subcommand| !subcommand.is_hide_set()) {
        let name = subcommand.get_name().to_uppercase();
        let page = clap_mangen::Man::new(subcommand.clone());
        let mut part = Vec::new();
        page.render_synopsis_section(&mut part)?;
        page.render_description_section(&mut part)?;
        page.render_options_section(&mut part)?;
        // Sections of a page of its own become parts of a section of this one.
        let part = String::from_utf8_lossy(&part).replace(".SH ", ".SS ");
        write!(out, ".SH {name}\n{part}")?;
    }
    page.render_extra_section(out)?;
    page.render_version_section(out)
}
