//! The program `borewright`.

fn main() {}
