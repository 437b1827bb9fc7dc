//! Which entry of one text is which of another.
//!
//! A comment on the wrong reading is worse than one that has lost its place, so what could be either of two is
//! neither. Elements are looked up by what tells them apart, never compared one by one: the time it takes grows as
//! the texts do.

use std::collections::HashMap;

use super::outline::{Entry, Outline, fold};

/// What tells the elements of a list apart: the first of these whose first field an element has, and not empty. Its
/// other fields count as they are.
///
/// A serial number goes before a position, since barrels are exchanged between positions.
const IDENTITY_KEYS: [&[&str]; 14] = [
    &["serial"],
    &["date"],
    &["identity", "revision"],
    &["row"],
    &["name"],
    &["label"],
    &["position"],
    &["reference", "size"],
    &["kind", "station", "place"],
    &["station", "axis"],
    &["source"],
    &["part"],
    &["field"],
    &["size"],
];

/// The lists of which the program takes nothing away: what tells an element apart may have been corrected.
const ONLY_ADDED_TO: [&str; 2] = ["overhauls", "tables"];

/// For each entry of the one text the index of its partner in the other.
pub(super) fn partners(from: &Outline<'_>, to: &Outline<'_>) -> Vec<Option<usize>> {
    let (partner, taken) = (vec![None; from.entries.len()], vec![false; to.entries.len()]);
    let mut pairs = Pairs { from, to, partner, taken };
    pairs.put(0, 0);
    for index in 0..from.entries.len() {
        // What holds this entry stands before it, so that it has its partner by now or never.
        if let Some(partner) = pairs.partner[index] {
            pairs.within(&from.entries[index], &to.entries[partner]);
        }
    }
    pairs.partner
}

/// Every index in it is of an entry of `from` or `to`.
struct Pairs<'a> {
    from: &'a Outline<'a>,
    to: &'a Outline<'a>,
    partner: Vec<Option<usize>>,
    taken: Vec<bool>,
}

impl Pairs<'_> {
    fn put(&mut self, old: usize, new: usize) {
        self.partner[old] = Some(new);
        self.taken[new] = true;
    }

    /// Pairs what two partners hold.
    fn within(&mut self, old: &Entry<'_>, new: &Entry<'_>) {
        let bracket = self.from.bracket(old);
        if bracket != self.to.bracket(new) {
            return;
        }
        let (olds, news) = (&old.children, &new.children);
        // What is written alike from the start: most of a record, and every text that one more is typed behind.
        for (&old, &new) in olds.iter().zip(news) {
            if self.from.entries[old].hash != self.to.entries[new].hash {
                break;
            }
            self.put(old, new);
        }
        let (from, to) = (self.from, self.to);
        let is_list = bracket == Some(b'[');
        if is_list {
            let alike = self.left(olds, |old| Some(old.hash));
            self.by_key(&alike, news, |new| Some(new.hash));
            let reported = self.left(olds, |old| identity_key(from, old));
            for (by, fields) in IDENTITY_KEYS.into_iter().enumerate() {
                let reported = reported.iter().filter(|(_, (foremost, _))| *foremost == by);
                let reported: Vec<_> = reported.map(|(old, (_, value))| (*old, *value)).collect();
                self.by_key(&reported, news, |new| value_of(to, new, fields));
            }
        } else {
            let name = |entry: &Entry<'_>| Some(fold(0, entry.name)).filter(|_| !entry.name.is_empty());
            self.by_key(&self.left(olds, name), news, name);
        }
        self.in_order(olds, news, !is_list || ONLY_ADDED_TO.contains(&old.name));
    }

    /// Those without a partner yet that have a key, with it.
    fn left<K>(&self, olds: &[usize], key: impl Fn(&Entry<'_>) -> Option<K>) -> Vec<(usize, K)> {
        let left = olds.iter().filter(|old| self.partner[**old].is_none());
        left.filter_map(|old| Some((*old, key(&self.from.entries[*old])?))).collect()
    }

    /// Pairs those with the same key, in order, where both sides have the same number of them.
    fn by_key(&mut self, olds: &[(usize, u64)], news: &[usize], key: impl Fn(&Entry<'_>) -> Option<u64>) {
        if olds.is_empty() {
            return;
        }
        let mut same: HashMap<u64, (Vec<usize>, Vec<usize>)> = HashMap::new();
        for (old, key) in olds {
            same.entry(*key).or_default().0.push(*old);
        }
        for &new in news.iter().filter(|new| !self.taken[**new]) {
            if let Some((_, found)) = key(&self.to.entries[new]).and_then(|key| same.get_mut(&key)) {
                found.push(new);
            }
        }
        for (_, key) in olds {
            if let Some((olds, news)) = same.remove(key)
                && olds.len() == news.len()
            {
                olds.into_iter().zip(news).for_each(|(old, new)| self.put(old, new));
            }
        }
    }

    /// Pairs the nameless ones between two neighbours that have partners, in order, if both sides have the same number
    /// of them; unless `all` may be paired, only those that nothing tells apart.
    fn in_order(&mut self, olds: &[usize], news: &[usize], all: bool) {
        let may = |text: &Outline<'_>, entry: &Entry<'_>| {
            entry.name.is_empty() && (all || identity_key(text, entry).is_none())
        };
        let (mut start, mut next) = (0, 0);
        for at in 0..=olds.len() {
            let end = match olds.get(at).map(|old| self.partner[*old]) {
                Some(None) => continue,
                Some(Some(new)) => news.partition_point(|before| *before < new),
                None => news.len(),
            };
            if end.checked_sub(next) == Some(at - start) {
                for (&old, &new) in olds[start..at].iter().zip(&news[next..end]) {
                    let both = may(self.from, &self.from.entries[old]) && may(self.to, &self.to.entries[new]);
                    if both && !self.taken[new] {
                        self.put(old, new);
                    }
                }
            }
            (start, next) = (at + 1, end + 1);
        }
    }
}

/// Which of [`IDENTITY_KEYS`] tells an element apart, and its value.
fn identity_key(text: &Outline<'_>, entry: &Entry<'_>) -> Option<(usize, u64)> {
    IDENTITY_KEYS.iter().enumerate().find_map(|(by, fields)| Some((by, value_of(text, entry, fields)?)))
}

/// The value of some fields of an element; none if it has not the first of them.
fn value_of(text: &Outline<'_>, entry: &Entry<'_>, fields: &[&str]) -> Option<u64> {
    let value = |name: &str| {
        let empty = [name, ":", "\"\""].iter().fold(0, |hash, part| fold(hash, *part));
        let mut children = entry.children.iter().map(|child| &text.entries[*child]);
        children.find(|child| child.name == name).map(|child| child.hash).filter(|hash| *hash != empty)
    };
    let (first, rest) = fields.split_first()?;
    Some(rest.iter().fold(value(first)?, |hash, name| fold(hash, &value(name))))
}
