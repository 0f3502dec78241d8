//! A snapshot as 2-D codes: decoded from the screen and from files by a library of others, and given back.

use crate::machines::root;
use crate::program::Place;
use rqrr::PreparedImage;

/// Pixels of a square's side.
const SCALE: usize = 3;

/// What a scanner reads in a picture of squares.
fn scan(dark: &[Vec<bool>]) -> String {
    let (width, height) = (dark[0].len() * SCALE, dark.len() * SCALE);
    let grey = |x: usize, y: usize| if dark[y / SCALE][x / SCALE] { 0 } else { 255 };
    let mut image = PreparedImage::prepare_from_greyscale(width, height, grey);
    let grids = image.detect_grids();
    assert_eq!(grids.len(), 1, "one code");
    grids[0].decode().unwrap().1
}

/// The pictures that a terminal shows: a letter is two squares, and a heading ends each. `light` is what a drawn square is.
fn pictures(screen: &str, light: bool) -> Vec<Vec<Vec<bool>>> {
    let mut all = vec![Vec::new()];
    for line in screen.lines() {
        let line = line.replace("\x1b[30;47;107m", "").replace("\x1b[0m", "");
        if line.starts_with("code ") {
            all.push(Vec::new());
            continue;
        }
        let row = |upper: char| line.chars().map(|c| (c == '█' || c == upper) != light).collect::<Vec<bool>>();
        let last = all.last_mut().unwrap();
        last.push(row('▀'));
        last.push(row('▄'));
    }
    all.retain(|picture| !picture.is_empty());
    for picture in &mut all {
        // The last row of an odd number has nothing below it.
        picture.pop();
    }
    all
}

/// The squares of an SVG, whose path has one `M{left} {top}h{length}v1h-{length}z` a run.
fn drawn(svg: &str) -> Vec<Vec<bool>> {
    let between =
        |text: &str, from: &str, to: &str| text.split(from).nth(1).unwrap().split(to).next().unwrap().to_string();
    let side: usize = between(svg, "viewBox=\"0 0 ", " ").parse().unwrap();
    let mut dark = vec![vec![false; side]; side];
    for run in between(svg, " d=\"", "\"").split_terminator('z') {
        let numbers: Vec<usize> = run.split(|c: char| !c.is_ascii_digit()).filter_map(|n| n.parse().ok()).collect();
        let [left, top, length, 1, back] = numbers[..] else { panic!("{run}") };
        assert_eq!(length, back, "{run}");
        dark[top][left..left + length].fill(true);
    }
    dark
}

#[test]
fn codes_of_a_screen_are_read_by_a_scanner_and_give_the_snapshot_back() {
    let place = Place::new();
    root(&place);
    let whole = place.run(&["snapshot", "--root", "root"]).json();
    let show = |size: (&str, &str), colour: &str| {
        let mut command = place.command(&["snapshot", "--root", "root", "--qr", "--colour", colour]);
        let out = command.env("COLUMNS", size.0).env("LINES", size.1).output().unwrap();
        assert_eq!(out.status.code(), Some(0));
        String::from_utf8(out.stdout).unwrap()
    };
    for (size, colour, least) in [(("80", "24"), "never", 5), (("80", "25"), "always", 5), (("240", "67"), "never", 1)]
    {
        let screen = show(size, colour);
        let pictures = pictures(&screen, colour == "never");
        assert!(pictures.len() >= least, "{size:?}: {}", pictures.len());
        let rows: usize = size.1.parse().unwrap();
        assert!(pictures.iter().all(|p| p.len().div_ceil(2) + 2 <= rows), "a code and its heading stand on one screen");
        let mut texts: Vec<String> = pictures.iter().map(|p| scan(p)).collect();
        texts.reverse();
        place.write("codes.txt", texts.join("\n"));
        let read = place.run(&["read", "codes.txt", "--json"]);
        assert_eq!(read.json()["items"][0]["snapshot"], whole, "{}", read.err);
        assert_eq!(read.json()["items"][0]["input"], "snapshot");
    }
}

#[test]
fn codes_of_files_are_compared_and_a_missing_one_is_named() {
    let place = Place::new();
    root(&place);
    place.write("root/sys/devices/system/edac/mc/mc0/ce_count", "0\n");
    place.write("seen.json", &place.run(&["snapshot", "--root", "root"]).out);
    // Many notes that do not shorten: more than one code of the largest size.
    let mut document: serde_json::Value = serde_json::from_str(&place.read("seen.json")).unwrap();
    let words = |n: u64| {
        format!("{:x}", n.wrapping_mul(0x9E37_79B9_7F4A_7C15).rotate_left(23).wrapping_mul(0xD134_2543_DE82_EF95))
    };
    let notes: Vec<_> = (1..200).map(|n| serde_json::json!({ "what": words(n) })).collect();
    document["notes"].as_array_mut().unwrap().extend(notes);
    place.write("seen.json", document.to_string());
    let snapshot = readers::snapshot::read(&place.read("seen.json")).unwrap();
    let texts = readers::snapshot::parts::split(&snapshot, 1000).parts;
    assert!(texts.len() > 2, "{}", texts.len());
    let names: Vec<String> = (0..texts.len()).map(|n| format!("part-{n}.txt")).collect();
    names.iter().zip(&texts).for_each(|(name, text)| place.write(name, text));

    let backwards: Vec<&str> = names.iter().rev().map(String::as_str).collect();
    let compared = place.run(&[&["compare", "seen.json"], &backwards[..]].concat());
    assert_eq!(compared.code, Some(0), "{}{}", compared.out, compared.err);
    assert!(compared.out.contains("no difference"), "{}", compared.out);

    let lacking = [&["compare", "seen.json"], &backwards[1..]].concat();
    let told = place.run(&lacking);
    assert_eq!(told.code, Some(2), "{}", told.out);
    assert!(told.err.contains(&format!("part {} is not there", texts.len())), "{}", told.err);
    let read = place.run(&[&["read"], &backwards[1..]].concat());
    assert_eq!(read.code, Some(2), "{}", read.out);
    assert!(read.err.contains(&format!("part {} is not there", texts.len())), "{}", read.err);
}

#[test]
fn a_folder_gets_the_codes_as_svg() {
    let place = Place::new();
    root(&place);
    let whole = place.run(&["snapshot", "--root", "root"]).json();
    let told = place.run(&["snapshot", "--root", "root", "--qr", "--out", "codes/"]);
    assert_eq!(told.code, Some(0), "{}", told.err);
    let mut texts = Vec::new();
    for entry in std::fs::read_dir(place.path().join("codes")).unwrap() {
        let path = entry.unwrap().path();
        let name = path.file_name().unwrap().to_string_lossy().into_owned();
        assert!(name.starts_with("snapshot-") && name.ends_with("-of-1.svg"), "{name}");
        texts.push(scan(&drawn(&std::fs::read_to_string(path).unwrap())));
    }
    let read = place.run(&["read", &texts.join("\n"), "--json"]);
    assert_eq!(read.json()["items"][0]["snapshot"], whole, "{}", read.err);
}
