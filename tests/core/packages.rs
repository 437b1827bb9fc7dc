//! The packages the program is made of: none that could speak to a network, all from the one registry, under licences
//! that let it be given away, and each that it names itself for a reason.

use std::collections::BTreeSet;
use std::fs;
use std::path::Path;
use std::process::Command;

fn text(name: &str) -> String {
    fs::read_to_string(Path::new(env!("CARGO_MANIFEST_DIR")).join(name)).unwrap()
}

/// The values of a key in the lock file, which has one on a line.
fn locked(key: &str) -> BTreeSet<String> {
    let start = format!("{key} = \"");
    let lock = text("Cargo.lock");
    lock.lines()
        .filter_map(|line| Some(line.strip_prefix(&start)?.trim_end_matches('"').to_owned()))
        .collect()
}

/// Packages that speak HTTP, or bring what is spoken over it. On no system, with no feature: the lock file has them all.
const SPEAKERS: [&str; 38] = [
    "actix-http",
    "attohttpc",
    "awc",
    "axum",
    "chttp",
    "curl",
    "curl-sys",
    "ehttp",
    "gix-transport",
    "h2",
    "h3",
    "hickory-resolver",
    "http",
    "http-body",
    "httparse",
    "httpdate",
    "hyper",
    "hyper-tls",
    "hyper-util",
    "isahc",
    "libcurl",
    "minreq",
    "native-tls",
    "openssl",
    "openssl-sys",
    "quinn",
    "reqwest",
    "rustls",
    "schannel",
    "surf",
    "tiny_http",
    "tokio-rustls",
    "trust-dns-resolver",
    "tungstenite",
    "ureq",
    "warp",
    "webpki-roots",
    "websocket",
];

#[test]
fn nothing_in_the_tree_speaks_http() {
    let names = locked("name");
    assert!(names.len() > 100 && names.contains("borewright"), "the lock file is read");
    let speakers: Vec<_> = SPEAKERS.iter().filter(|name| names.contains(**name)).collect();
    assert!(speakers.is_empty(), "{speakers:?}");
}

/// Nor does the program itself.
#[test]
fn no_source_names_a_socket_of_a_network() {
    let mut open = vec![Path::new(env!("CARGO_MANIFEST_DIR")).join("src")];
    let mut read = 0;
    while let Some(path) = open.pop() {
        if path.is_dir() {
            open.extend(fs::read_dir(path).unwrap().map(|entry| entry.unwrap().path()));
        } else if path.extension().is_some_and(|extension| extension == "rs") {
            let code = fs::read_to_string(&path).unwrap();
            for name in ["std::net", "TcpStream", "TcpListener", "UdpSocket", "ToSocketAddrs"] {
                assert!(!code.contains(name), "{}: {name}", path.display());
            }
            read += 1;
        }
    }
    assert!(read > 100, "only {read} files were there");
}

#[test]
fn every_package_comes_from_the_registry_or_is_the_program() {
    let sources = locked("source");
    let expected = BTreeSet::from(["registry+https://github.com/rust-lang/crates.io-index".to_owned()]);
    assert_eq!(sources, expected);
}

/// The names of a list of texts in `.cargo/deny.toml`.
fn listed(key: &str) -> BTreeSet<String> {
    let policy = text(".cargo/deny.toml");
    let (_, rest) =
        policy.split_once(&format!("\n{key} = [")).unwrap_or_else(|| panic!(".cargo/deny.toml has no {key}"));
    let (list, _) = rest.split_once(']').unwrap();
    list.split('"').skip(1).step_by(2).map(str::to_owned).collect()
}

/// Does an SPDX expression leave a choice that is allowed? Old ones have `/` for `OR`.
fn is_allowed(expression: &str, allowed: &BTreeSet<String>) -> bool {
    let expression = expression.replace('/', " OR ");
    // Brackets hold a choice, and what stands beside them is asked for too: `(A OR B) AND C`.
    if let Some((before, rest)) = expression.split_once('(') {
        let (within, after) = rest.split_once(')').unwrap_or((rest, ""));
        let beside =
            [before, after].map(|part| part.trim().trim_start_matches("AND").trim_end_matches("AND"));
        return is_allowed(within, allowed)
            && beside.iter().all(|part| part.trim().is_empty() || is_allowed(part, allowed));
    }
    expression.split(" OR ").any(|one| one.split(" AND ").all(|licence| allowed.contains(licence.trim())))
}

#[test]
fn every_licence_is_one_of_the_policy() {
    let allowed = listed("allow");
    let has = |expression| is_allowed(expression, &allowed);
    assert!(has("MIT") && has("GPL-3.0-only OR MIT") && has("(MIT OR Apache-2.0) AND Unicode-3.0"));
    assert!(!has("GPL-3.0-only") && !has("MIT AND GPL-3.0-only") && !has("(MIT OR Apache-2.0) AND GPL-2.0"));
    let mut cargo = Command::new(env!("CARGO"));
    cargo.args(["metadata", "--offline", "--locked", "--format-version", "1", "--all-features"]);
    cargo.args(["--filter-platform", TARGET]).current_dir(env!("CARGO_MANIFEST_DIR"));
    let output = cargo.output().unwrap();
    if !output.status.success() {
        eprintln!("SKIPPED: not all packages are on this machine, and none is fetched for this test.");
        return;
    }
    let metadata: serde_json::Value = serde_json::from_slice(&output.stdout).unwrap();
    let packages = metadata["packages"].as_array().unwrap();
    assert!(packages.len() > 100);
    let strange: Vec<_> = packages
        .iter()
        .map(|package| {
            (package["name"].as_str().unwrap(), package["license"].as_str().unwrap_or("none stated"))
        })
        .filter(|(_, licence)| !is_allowed(licence, &allowed))
        .collect();
    assert!(strange.is_empty(), "{strange:?}");
}

/// What the packages are filtered by: those of this system.
const TARGET: &str = if cfg!(target_os = "windows") {
    "x86_64-pc-windows-msvc"
} else if cfg!(target_os = "macos") {
    "aarch64-apple-darwin"
} else {
    "x86_64-unknown-linux-gnu"
};

#[test]
fn every_direct_dependency_has_a_reason_beside_it() {
    let manifest = text("Cargo.toml");
    // A room says itself what it is for; a package has its version and its reason once, for all of them.
    let of_a_room = |line: &str| line.contains("workspace = true") || line.contains("path = \"src/");
    let (mut in_list, mut reason, mut named) = (false, false, 0);
    for line in manifest.lines() {
        if line.starts_with('[') {
            in_list = line.trim_matches(['[', ']']).ends_with("dependencies");
        } else if in_list && line.contains(" = ") && !of_a_room(line) {
            assert!(reason, "no reason stands above: {line}");
            named += 1;
        }
        reason = line.starts_with("# ");
    }
    assert!(named > 20, "only {named} were found");
}
