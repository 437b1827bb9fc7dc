//! A fleet on all cores: while one group of batches is judged, the next one is read, and what was judged is
//! written in the order of the file. Two groups are all that is ever held.

use std::io::{Read, Write};
use std::path::Path;
use std::sync::Arc;

use rayon::iter::{IntoParallelRefMutIterator as _, ParallelIterator as _};

use super::assemble::Assembler;
use super::columns::Columns;
use super::rows::{Batch, RowReader};
use super::{FleetError, FleetLine, Tally, json};
use records::diag::Diagnostic;
use records::limits::Limits;

/// How many errors are told one by one; the others are counted.
pub const MOST_REPORTED: u64 = 200;

/// Batches in a group: enough of them that cores which have done theirs find another.
const BATCHES: usize = 16;

/// What is written for each cylinder.
#[derive(Clone, Copy, Debug)]
pub enum FleetFormat {
    /// Words for people, as this function puts them, each line ended.
    Text(fn(&FleetLine, &Limits) -> String),
    /// A JSON object on a line of its own, as in [`json`].
    JsonLines,
}

/// Writes what there is to say of a cylinder; only a failing `out` can fail.
fn write_line(
    line: &FleetLine,
    limits: &Limits,
    format: FleetFormat,
    out: &mut Vec<u8>,
) -> std::io::Result<()> {
    match format {
        FleetFormat::JsonLines => {
            json::write(line, limits, &mut *out)?;
            out.push(b'\n');
        }
        FleetFormat::Text(words) => out.extend_from_slice(words(line, limits).as_bytes()),
    }
    Ok(())
}

/// A batch and what becomes of it.
struct Work {
    batch: Batch,
    assembler: Assembler,
    written: Vec<u8>,
    diagnostics: Vec<Diagnostic>,
    tally: Tally,
    failed: Option<std::io::Error>,
}

impl Work {
    fn new(limits: &Arc<Limits>) -> Self {
        Self {
            batch: Batch::default(),
            assembler: Assembler::new(Arc::clone(limits)),
            written: Vec::new(),
            diagnostics: Vec::new(),
            tally: Tally::for_table(limits),
            failed: None,
        }
    }

    fn judge(&mut self, columns: &Columns, limits: &Limits, format: FleetFormat) {
        self.written.clear();
        self.diagnostics.clear();
        self.tally = Tally::for_table(limits);
        for piece in self.batch.pieces() {
            let mut line = self.assembler.judge(&self.batch, piece, columns);
            self.tally.count(&line);
            if let Err(error) = write_line(&line, limits, format, &mut self.written) {
                self.failed = Some(error);
                return;
            }
            self.diagnostics.append(&mut line.diagnostics);
            self.diagnostics.truncate(MOST_REPORTED as usize);
        }
    }
}

/// Batches that are read, judged and written together.
struct Group {
    works: Vec<Work>,
    /// How many of them hold something.
    filled: usize,
    bytes_read: u64,
}

impl Group {
    fn new(limits: &Arc<Limits>) -> Self {
        let works = std::iter::repeat_with(|| Work::new(limits)).take(BATCHES).collect();
        Self { works, filled: 0, bytes_read: 0 }
    }

    fn filled(&mut self) -> &mut [Work] {
        self.works.get_mut(..self.filled).unwrap_or_default()
    }

    fn rows(&self) -> usize {
        self.works.iter().take(self.filled).map(|work| work.batch.len()).sum()
    }

    fn read<R: Read>(&mut self, reader: &mut RowReader<R>) {
        self.filled =
            self.works.iter_mut().map_while(|work| reader.fill(&mut work.batch).then_some(())).count();
        self.bytes_read = reader.bytes_read();
    }

    fn judge(&mut self, columns: &Columns, limits: &Limits, format: FleetFormat) {
        self.filled().par_iter_mut().for_each(|work| work.judge(columns, limits, format));
    }
}

impl Tally {
    fn add(&mut self, other: &Self) {
        self.cylinders += other.cylinders;
        self.serviceable += other.serviceable;
        self.replace += other.replace;
        self.not_decided += other.not_decided;
        self.errors += other.errors;
        for (sum, count) in self.rebore.iter_mut().zip(&other.rebore) {
            *sum += count;
        }
    }
}

/// Judges a fleet on all cores and writes a line for each cylinder, in the order of the file.
///
/// `errors` is told of at most [`MOST_REPORTED`] errors, each with its file and line, and of notes on the header;
/// [`Tally::errors`] counts them all. `progress` is told how many bytes of the file have been dealt with.
///
/// # Errors
/// [`FleetError::File`] for a header without the columns needed, a row that does not end, or a failure to
/// read, after all that was read before has been judged; [`FleetError::Write`] if `out` refuses.
pub fn run(
    input: impl Read + Send,
    file_name: &Path,
    limits: Arc<Limits>,
    format: FleetFormat,
    out: &mut dyn Write,
    errors: &mut dyn FnMut(Diagnostic),
    progress: &mut dyn FnMut(u64),
) -> Result<Tally, FleetError> {
    let in_file = |error| match error {
        FleetError::File(diagnostic) => FleetError::File(Box::new(diagnostic.in_file(file_name))),
        FleetError::Write(error) => FleetError::Write(error),
    };
    let mut tell = |diagnostic: Diagnostic| errors(diagnostic.in_file(file_name));
    let mut reader = RowReader::open(input, &limits, &mut tell).map_err(in_file)?;
    let columns = reader.columns().clone();
    let mut tally = Tally::for_table(&limits);
    let (mut now, mut next) = (Group::new(&limits), Group::new(&limits));
    now.read(&mut reader);
    while now.filled > 0 {
        rayon::join(|| next.read(&mut reader), || now.judge(&columns, &limits, format));
        tally.most_rows_held = tally.most_rows_held.max(now.rows() + next.rows());
        for work in now.filled() {
            out.write_all(&work.written)?;
            if let Some(error) = work.failed.take() {
                return Err(error.into());
            }
            tally.add(&work.tally);
            for diagnostic in work.diagnostics.drain(..) {
                if tally.errors_reported < MOST_REPORTED {
                    tally.errors_reported += 1;
                    tell(diagnostic);
                }
            }
        }
        progress(now.bytes_read);
        std::mem::swap(&mut now, &mut next);
    }
    out.flush()?;
    reader.finish(&mut tally, &mut tell).map_err(in_file)?;
    Ok(tally)
}
