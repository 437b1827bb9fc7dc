//! Everything that setting a page may read, from memory: the templates, the data, the pictures, the type.
//!
//! No file is opened, no system type is looked for, no package is fetched and there is no clock, so that the same
//! input gives the same pages everywhere. Type that comes along: Libertinus Serif for words (Latin, Greek,
//! Cyrillic), DejaVu Sans for drawings and for what the other lacks (also Armenian, Georgian, Arabic, Hebrew).
//! A letter that neither has is shown as an empty box, and [`missing_letters`] names it.

use std::collections::{BTreeSet, HashMap};
use std::sync::LazyLock;

use typst::diag::{FileError, FileResult, SourceDiagnostic};
use typst::foundations::{Bytes, Datetime, Duration};
use typst::syntax::{FileId, RootedPath, Source, VirtualPath, VirtualRoot};
use typst::text::{Font, FontBook};
use typst::utils::LazyHash;
use typst::{Library, LibraryExt as _, World, WorldExt as _};

use super::Templates;
use drawings::typeface::Face;
use records::diag::{Diagnostic, TextPosition};

/// The type that comes along.
struct Type {
    book: LazyHash<FontBook>,
    fonts: Vec<Font>,
}

static TYPE: LazyLock<Type> = LazyLock::new(|| {
    let files: [&'static [u8]; 5] = [
        include_bytes!("assets/LibertinusSerif-Regular.otf"),
        include_bytes!("assets/LibertinusSerif-Bold.otf"),
        include_bytes!("assets/LibertinusSerif-Italic.otf"),
        Face::Plain.bytes(),
        Face::Bold.bytes(),
    ];
    let fonts: Vec<Font> = files.into_iter().flat_map(|file| Font::iter(Bytes::new(file))).collect();
    Type { book: LazyHash::new(FontBook::from_fonts(&fonts)), fonts }
});

static LIBRARY: LazyLock<LazyHash<Library>> = LazyLock::new(|| LazyHash::new(Library::default()));

/// The letters of a text that no type that comes along has, each once, in the order of their numbers.
pub(super) fn missing_letters(text: &str) -> Vec<char> {
    let letters: BTreeSet<char> = text.chars().filter(|c| !c.is_control() && !c.is_whitespace()).collect();
    let has = |c: char| TYPE.fonts.iter().any(|font| font.info().coverage.contains(u32::from(c)));
    letters.into_iter().filter(|&c| !has(c)).collect()
}

/// What one document is set from.
pub(super) struct TypstWorld<'a> {
    main: FileId,
    files: HashMap<FileId, Bytes>,
    sources: HashMap<FileId, Source>,
    templates: &'a Templates,
}

/// The name by which the setting knows a file; `None` for a name that is no path.
fn id_of(name: &str) -> Option<FileId> {
    VirtualPath::new(name).ok().map(|path| RootedPath::new(VirtualRoot::Project, path).intern())
}

impl<'a> TypstWorld<'a> {
    /// Puts the templates, the data and the pictures together; `main` is the template that is set.
    pub(super) fn new(
        main: &str,
        templates: &'a Templates,
        further: impl IntoIterator<Item = (String, Vec<u8>)>,
    ) -> Option<Self> {
        let mut typst_world =
            Self { main: id_of(main)?, files: HashMap::new(), sources: HashMap::new(), templates };
        for (name, bytes) in templates.files() {
            typst_world.put(name, Bytes::new(bytes.to_vec()));
        }
        // Last, so that no file of a shop's folder can stand in the place of the data.
        for (name, bytes) in further {
            typst_world.put(&name, Bytes::new(bytes));
        }
        Some(typst_world)
    }

    fn put(&mut self, name: &str, bytes: Bytes) {
        let Some(id) = id_of(name) else { return };
        if name.ends_with(".typ")
            && let Ok(text) = bytes.as_str()
        {
            self.sources.insert(id, Source::new(id, text.to_owned()));
        }
        self.files.insert(id, bytes);
    }

    /// What is wrong with a template, with its file, line, column and what to do.
    pub(super) fn reported(&self, wrong: &SourceDiagnostic) -> Diagnostic {
        let mut message = wrong.message.trim_end_matches('.').to_string();
        message.push('.');
        let is_error = wrong.severity == typst::diag::Severity::Error;
        let mut reported = if is_error { Diagnostic::error(message) } else { Diagnostic::note(message) };
        let hints: Vec<String> = wrong
            .hints
            .iter()
            .map(|hint| format!("{}.", records::wording::capitalised(hint.v.trim_end_matches('.'))))
            .collect();
        reported = reported.remedy(hints.join(" "));
        // Where it was called from, if the place itself lies in nothing that a person wrote.
        let spans = std::iter::once(wrong.span)
            .chain(wrong.trace.iter().map(|point| typst::syntax::DiagSpan::from(point.span)));
        for span in spans {
            let Some(id) = span.id() else { continue };
            let name = id.vpath().get_without_slash().to_owned();
            let at = self.sources.get(&id).zip(self.range(span)).and_then(|(source, range)| {
                let (line, column) = source.lines().byte_to_line_column(range.start)?;
                Some(TextPosition { line: line + 1, column: column + 1 })
            });
            return reported.in_file(&self.templates.path_of(&name)).on(at);
        }
        reported
    }
}

impl World for TypstWorld<'_> {
    fn library(&self) -> &LazyHash<Library> {
        &LIBRARY
    }

    fn book(&self) -> &LazyHash<FontBook> {
        &TYPE.book
    }

    fn main(&self) -> FileId {
        self.main
    }

    fn source(&self, id: FileId) -> FileResult<Source> {
        match self.sources.get(&id) {
            Some(source) => Ok(source.clone()),
            None if self.files.contains_key(&id) => Err(FileError::NotSource),
            None => Err(missing(id)),
        }
    }

    fn file(&self, id: FileId) -> FileResult<Bytes> {
        self.files.get(&id).cloned().ok_or_else(|| missing(id))
    }

    fn font(&self, index: usize) -> Option<Font> {
        TYPE.fonts.get(index).cloned()
    }

    fn today(&self, _offset: Option<Duration>) -> Option<Datetime> {
        None
    }
}

fn missing(id: FileId) -> FileError {
    match id.root() {
        VirtualRoot::Project => FileError::NotFound(id.vpath().get_without_slash().into()),
        VirtualRoot::Package(_) => FileError::Other(Some(
            "packages are not fetched; copy the files into the template's folder".into(),
        )),
    }
}
