//! Everything the program has to tell about a file, in one shape for the command line, the window and paper.
//!
//! A [`Diagnostic`] says what is wrong, where, and what to do. *Where* is a file, a line and column in its
//! text, a path of fields, and the same place in the words of the trade. Nothing here knows what a record is.

use std::fmt;
use std::path::{Path, PathBuf};

use serde::Serialize;

use crate::wording::{bounded, grouped};

/// How much a diagnostic weighs.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Hash, Serialize)]
#[serde(rename_all = "lowercase")]
pub enum Severity {
    /// Worth knowing; everything can still be judged.
    Note,
    /// Must be put right before the part it concerns can be judged.
    Error,
}

/// One step into a file: a named field or a numbered element.
#[derive(Clone, Debug, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub enum PathStep {
    /// A field by its name.
    Field(&'static str),
    /// An element of a list, counted from 0.
    Element(usize),
}

/// The way from the top of a file to a value in it, such as `overhauls[0].cylinders[2].serial`.
#[derive(Clone, Debug, Default, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub struct FieldPath(pub Vec<PathStep>);

impl FieldPath {
    /// The same path and one field further.
    #[must_use]
    pub fn field(&self, name: &'static str) -> Self {
        self.further(PathStep::Field(name))
    }

    /// The same path and one element further.
    #[must_use]
    pub fn element(&self, index: usize) -> Self {
        self.further(PathStep::Element(index))
    }

    fn further(&self, step: PathStep) -> Self {
        let mut path = Vec::with_capacity(self.0.len() + 1);
        path.extend_from_slice(&self.0);
        path.push(step);
        Self(path)
    }
}

impl FieldPath {
    /// What follows after `start`, if the path begins with it.
    pub fn after(&self, start: &Self) -> Option<&[PathStep]> {
        self.0.strip_prefix(start.0.as_slice())
    }

    /// Does it lead to this place, or to something in it? `place` is a path as it is shown.
    ///
    /// `cylinders[1]` is not within `cylinders[10]`, nor `piston_weights` within `piston_weight`: whole steps are
    /// compared, never the beginnings of names or numbers.
    pub fn is_within(&self, place: &str) -> bool {
        let way = self.to_string();
        way.strip_prefix(place).is_some_and(|rest| rest.is_empty() || rest.starts_with(['.', '[']))
    }
}

impl fmt::Display for FieldPath {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        for (i, step) in self.0.iter().enumerate() {
            match step {
                PathStep::Field(name) if i == 0 => write!(f, "{name}")?,
                PathStep::Field(name) => write!(f, ".{name}")?,
                PathStep::Element(index) => write!(f, "[{index}]")?,
            }
        }
        Ok(())
    }
}

/// A place in a file's text, counted from 1.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Hash, Serialize)]
pub struct TextPosition {
    /// Line.
    pub line: usize,
    /// Column, in characters.
    pub column: usize,
}

/// A place in a file: the way to it, and the same in the words of the trade.
#[derive(Clone, Debug, Default, PartialEq, Eq)]
pub struct Location {
    /// The way to it.
    pub path: FieldPath,
    /// The place in words.
    pub place: String,
}

/// What gathers diagnostics, each at its spot.
pub(crate) trait TellAt {
    /// What was told so far.
    fn reported(&mut self) -> &mut Vec<Diagnostic>;

    /// Tells an error.
    fn error(&mut self, location: &Location, message: impl Into<String>, remedy: impl Into<String>) {
        self.reported().push(Diagnostic::error(message).at_spot(location).remedy(remedy));
    }

    /// Tells a note.
    fn note(&mut self, location: &Location, message: impl Into<String>, remedy: impl Into<String>) {
        self.reported().push(Diagnostic::note(message).at_spot(location).remedy(remedy));
    }
}

impl Location {
    /// A field of the file itself.
    pub fn top(name: &'static str, place: impl Into<String>) -> Self {
        Self { path: FieldPath::default().field(name), place: bounded(place.into()) }
    }

    /// A field of it.
    #[must_use]
    pub fn field(&self, name: &'static str) -> Self {
        Self { path: self.path.field(name), place: self.place.clone() }
    }

    /// An element of it.
    #[must_use]
    pub fn element(&self, index: usize) -> Self {
        Self { path: self.path.element(index), place: self.place.clone() }
    }

    /// The same way, and other words.
    #[must_use]
    pub fn called(mut self, place: impl Into<String>) -> Self {
        self.place = bounded(place.into());
        self
    }

    /// The same way, with what is meant within it.
    #[must_use]
    pub fn detail(&self, what: &str) -> Self {
        Self { path: self.path.clone(), place: bounded(format!("{}, {what}", self.place)) }
    }
}

/// Something to tell: what, where, and what to do.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Diagnostic {
    /// How much it weighs.
    pub severity: Severity,
    /// The file, where it came from one.
    pub file: Option<PathBuf>,
    /// Line and column, where known.
    pub position: Option<TextPosition>,
    /// The way to the value, for programs and for finding the line.
    pub path: FieldPath,
    /// The place in the words of the trade, such as `cylinder 3, station B, thrust axis`; may be empty.
    pub place: String,
    /// What is wrong, as a sentence.
    pub message: String,
    /// What to do about it, as a sentence; may be empty.
    pub remedy: String,
}

impl Diagnostic {
    fn new(severity: Severity, message: impl Into<String>) -> Self {
        Self {
            severity,
            file: None,
            position: None,
            path: FieldPath::default(),
            place: String::new(),
            message: bounded(message.into()),
            remedy: String::new(),
        }
    }

    /// An error with its message.
    pub fn error(message: impl Into<String>) -> Self {
        Self::new(Severity::Error, message)
    }

    /// A note with its message.
    pub fn note(message: impl Into<String>) -> Self {
        Self::new(Severity::Note, message)
    }

    /// With the way to the value.
    #[must_use]
    pub fn at(mut self, path: FieldPath) -> Self {
        self.path = path;
        self
    }

    /// With the place in words.
    #[must_use]
    pub fn place(mut self, place: impl Into<String>) -> Self {
        self.place = bounded(place.into());
        self
    }

    /// With the way to the value and the place in words.
    #[must_use]
    pub fn at_spot(self, location: &Location) -> Self {
        self.at(location.path.clone()).place(location.place.clone())
    }

    /// With what to do.
    #[must_use]
    pub fn remedy(mut self, remedy: impl Into<String>) -> Self {
        self.remedy = bounded(remedy.into());
        self
    }

    /// With the file.
    #[must_use]
    pub fn in_file(mut self, file: &Path) -> Self {
        self.file = Some(file.to_owned());
        self
    }

    /// With the line and column.
    #[must_use]
    pub fn on(mut self, position: Option<TextPosition>) -> Self {
        self.position = position.or(self.position);
        self
    }

    /// Is it an error?
    pub fn is_error(&self) -> bool {
        self.severity == Severity::Error
    }
}

/// `file:line:column: error: place: message Remedy.`
impl fmt::Display for Diagnostic {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        if let Some(file) = &self.file {
            write!(f, "{}:", file.display())?;
            if let Some(at) = self.position {
                write!(f, "{}:{}:", at.line, at.column)?;
            }
            write!(f, " ")?;
        } else if let Some(at) = self.position {
            write!(f, "line {}, column {}: ", at.line, at.column)?;
        }
        match self.severity {
            Severity::Error => write!(f, "error: ")?,
            Severity::Note => write!(f, "note: ")?,
        }
        if !self.place.is_empty() {
            write!(f, "{}: ", self.place)?;
        }
        write!(f, "{}", self.message)?;
        if !self.remedy.is_empty() {
            // A reason is no sentence of its own, what to do is.
            let stop = if self.message.ends_with(['.', ':', '?']) { "" } else { "." };
            write!(f, "{stop} {}", self.remedy)?;
        }
        Ok(())
    }
}

/// Of what is told the only one there is, which has this severity, path and words.
#[cfg(test)]
#[track_caller]
pub(crate) fn only<'a>(
    reported: &'a [Diagnostic],
    severity: Severity,
    path: &str,
    words: &str,
) -> &'a Diagnostic {
    let [only] = reported else {
        panic!(
            "not one but {}: {:#?}",
            reported.len(),
            reported.iter().map(ToString::to_string).collect::<Vec<_>>()
        )
    };
    assert_eq!(only.severity, severity, "{only}");
    assert_eq!(only.path.to_string(), path, "{only}");
    assert!(only.to_string().contains(words), "{only}");
    only
}

/// The most diagnostics of one file that are told one by one.
pub const MOST_REPORTED: usize = 100;

/// How many diagnostics of a file there are beside those that are held.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq)]
pub struct Beyond {
    /// Errors.
    pub errors: usize,
    /// Notes.
    pub notes: usize,
}

/// The diagnostics of one file, found part by part in the order of its text. Of so many that they are not told one by one
/// the later ones are counted and let go.
#[derive(Clone, Debug, Default)]
pub struct Gathered {
    held: Vec<Diagnostic>,
    errors: usize,
    notes: usize,
    beyond: Beyond,
}

impl Gathered {
    /// Takes what was found in the next part.
    pub fn add(&mut self, mut part: Vec<Diagnostic>) {
        let (hold_errors, hold_notes) = (self.errors <= MOST_REPORTED, self.notes <= MOST_REPORTED);
        if !(hold_errors && hold_notes) {
            // What is found twice is told once, as it is of those that are held.
            part.sort_by(|a, b| (&a.path, a.severity).cmp(&(&b.path, b.severity)));
            part.dedup();
        }
        for diagnostic in part {
            let (hold, count, beyond) = if diagnostic.is_error() {
                (hold_errors, &mut self.errors, &mut self.beyond.errors)
            } else {
                (hold_notes, &mut self.notes, &mut self.beyond.notes)
            };
            if hold {
                *count += 1;
                self.held.push(diagnostic);
            } else {
                *beyond += 1;
            }
        }
    }

    /// Those that are held, and how many more there are.
    pub fn finish(self) -> (Vec<Diagnostic>, Beyond) {
        (self.held, self.beyond)
    }
}

/// What is told of files: of each the first ones, errors before notes where there are too many, in the order they come
/// in. The last line of a file says how many more there are.
pub fn reported<'a>(diagnostics: impl IntoIterator<Item = &'a Diagnostic>) -> Vec<Diagnostic> {
    let diagnostics: Vec<&Diagnostic> = diagnostics.into_iter().collect();
    let of_files = diagnostics.chunk_by(|a, b| a.file == b.file);
    of_files.flat_map(|of_file| of_one_file(of_file, Beyond::default())).collect()
}

/// As [`reported`], of one file of which there are more than are held.
pub fn reported_beyond(diagnostics: &[Diagnostic], beyond: Beyond) -> Vec<Diagnostic> {
    of_one_file(&diagnostics.iter().collect::<Vec<_>>(), beyond)
}

fn of_one_file(of_file: &[&Diagnostic], beyond: Beyond) -> Vec<Diagnostic> {
    // To say that there is one more takes a line as well.
    if of_file.len() <= MOST_REPORTED + 1 && beyond == Beyond::default() {
        return of_file.iter().copied().cloned().collect();
    }
    let errors = of_file.iter().filter(|diagnostic| diagnostic.is_error()).count();
    let notes = of_file.len() - errors;
    let told_errors = errors.min(MOST_REPORTED);
    let told_notes = notes.min(MOST_REPORTED - told_errors);
    let (mut errors_left, mut notes_left) = (told_errors, told_notes);
    let first = of_file.iter().copied().filter(|diagnostic| {
        let left = if diagnostic.is_error() { &mut errors_left } else { &mut notes_left };
        let room = *left > 0;
        *left -= usize::from(room);
        room
    });
    let mut reported: Vec<Diagnostic> = first.cloned().collect();
    let of = |count: usize, noun: &str| {
        let plural = if count == 1 { "" } else { "s" };
        (count > 0).then(|| format!("{} more {noun}{plural}", grouped(count)))
    };
    let more_errors = errors - told_errors + beyond.errors;
    let more_notes = notes - told_notes + beyond.notes;
    let more: Vec<String> =
        [of(more_errors, "error"), of(more_notes, "note")].into_iter().flatten().collect();
    let message = format!("And {}.", more.join(" and "));
    let last = if more_errors > 0 { Diagnostic::error(message) } else { Diagnostic::note(message) }
        .remedy("Correct the first ones, then read the file again.");
    reported.push(Diagnostic { file: of_file.first().and_then(|first| first.file.clone()), ..last });
    reported
}

/// A value and what there is to say about it.
#[derive(Clone, Debug)]
pub struct WithDiagnostics<T> {
    /// The value.
    pub value: T,
    /// Errors and notes, errors first.
    pub diagnostics: Vec<Diagnostic>,
}

/// The longest name that is compared with a mistyped one, in bytes.
const LONGEST_NAME: usize = 200;
/// The most names that are compared with a mistyped one.
pub(crate) const MOST_NAMES: usize = 200;

/// The known name that `wrong` was most likely meant to be.
pub fn likely_intended<'a>(wrong: &str, known: impl IntoIterator<Item = &'a str>) -> Option<&'a str> {
    // The time grows with the product of the lengths, and nobody mistypes a name of a page.
    let short = |name: &str| name.len() <= LONGEST_NAME;
    known
        .into_iter()
        .take(MOST_NAMES)
        .filter(|name| short(name) && short(wrong))
        .map(|name| {
            (strsim::normalized_damerau_levenshtein(&wrong.to_lowercase(), &name.to_lowercase()), name)
        })
        .filter(|(likeness, _)| *likeness >= 0.5)
        .max_by(|a, b| a.0.total_cmp(&b.0))
        .map(|(_, name)| name)
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn the_first_are_told_and_the_others_counted() {
        let file = Path::new("a.ron");
        let error = |i| Diagnostic::error(format!("{i}")).in_file(file);
        let note = |i| Diagnostic::note(format!("{i}")).in_file(file);
        let few: Vec<_> = (0..MOST_REPORTED).map(error).collect();
        assert_eq!(reported(&few), few);
        let many: Vec<_> = (0..10_090).map(|i| if i % 1009 == 0 { note(i) } else { error(i) }).collect();
        let shown = reported(&many);
        assert_eq!(reported(&shown), shown, "what was shortened is not shortened again");
        assert_eq!(shown.len(), MOST_REPORTED + 1);
        assert_eq!(shown[0].message, "1");
        let last = shown.last().map(ToString::to_string);
        let expected = "a.ron: error: And 9,980 more errors and 10 more notes. Correct the first ones, then read the \
                        file again.";
        assert_eq!(last.as_deref(), Some(expected));
        // Errors are told before notes, and in their places among them.
        let late: Vec<_> = (0..200).map(note).chain([error(200)]).collect();
        let shown = reported(&late);
        assert_eq!((shown[0].message.as_str(), shown[98].message.as_str()), ("0", "98"));
        assert_eq!(shown[99].message, "200");
        assert_eq!(shown[100].message, "And 101 more notes.");
        assert!(!shown[100].is_error());
    }

    /// Counted in parts, what is told is what is told of all.
    #[test]
    fn what_is_not_held_is_counted() {
        let one = |part: usize, i: usize| {
            let path = FieldPath::default().field("overhauls").element(part).element(i);
            let new = if i.is_multiple_of(5) { Diagnostic::note } else { Diagnostic::error };
            new(format!("{part}/{i}")).at(path)
        };
        for parts in [1, 7, 60] {
            let all: Vec<Vec<_>> = (0..parts).map(|part| (0..20).map(|i| one(part, i)).collect()).collect();
            let mut gathered = Gathered::default();
            all.iter().for_each(|part| gathered.add(part.clone()));
            let (held, beyond) = gathered.finish();
            assert!(held.len() <= 2 * (MOST_REPORTED + 20), "{parts} parts: {} are held", held.len());
            assert_eq!(held.len() + beyond.errors + beyond.notes, 20 * parts);
            assert_eq!(reported_beyond(&held, beyond), reported(all.iter().flatten()), "{parts} parts");
        }
        // What is found twice in one part is one.
        let mut gathered = Gathered::default();
        gathered.add((0..200).map(|i| one(0, 5 * i + 1)).collect());
        gathered.add(vec![one(1, 1), one(1, 2), one(1, 1)]);
        assert_eq!(gathered.finish().1, Beyond { errors: 2, notes: 0 });
    }

    /// Comparing two names takes the product of their lengths.
    #[test]
    fn a_name_of_a_page_is_not_compared() {
        let long = "a".repeat(1_000_000);
        assert_eq!(likely_intended(&long, [long.as_str(), "B"]), None);
        assert_eq!(likely_intended("thurst", [long.as_str(), "thrust"]), Some("thrust"));
    }

    #[test]
    fn a_place_is_found_by_whole_steps() {
        let cylinder = |index| FieldPath::default().field("cylinders").element(index);
        let weight = cylinder(1).field("piston_weight");
        assert!(weight.is_within("cylinders[1]") && weight.is_within("cylinders[1].piston_weight"));
        assert!(cylinder(1).is_within("cylinders"));
        // What only begins alike is another place.
        assert!(!cylinder(10).is_within("cylinders[1]") && !cylinder(10).is_within("cylinders[1"));
        assert!(!weight.is_within("cylinders[1].piston") && !cylinder(1).is_within("cylinders[1].serial"));
    }
}
