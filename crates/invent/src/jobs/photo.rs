//! Pictures that stand for photos: a sketch on grey card with a scale, drawn here, with the time a camera would write.

use resvg::{tiny_skia, usvg};

/// A sketch as PNG, 1,200 × 900, with the camera's time in it.
pub(crate) fn png(sketch: &str, caption: &str, at: &str) -> Vec<u8> {
    let svg = format!(
        "<svg xmlns='http://www.w3.org/2000/svg' viewBox='0 0 120 90' width='1200' height='900'>\
         <rect width='120' height='90' fill='#b9bdb6'/><rect x='4' y='4' width='112' height='82' fill='#cfd3cc'/>\
         <g fill='none' stroke='#2b3438' stroke-width='1.6' stroke-linejoin='round'>{}</g>{}</svg>",
        shape(sketch),
        scale()
    );
    let tree = usvg::Tree::from_str(&svg, &usvg::Options::default()).ok();
    let pixmap = tree.and_then(|tree| {
        let mut pixmap = tiny_skia::Pixmap::new(1200, 900)?;
        resvg::render(&tree, tiny_skia::Transform::identity(), &mut pixmap.as_mut());
        Some(pixmap)
    });
    let bytes = pixmap.and_then(|p| p.encode_png().ok()).unwrap_or_default();
    with_time(bytes, at, caption)
}

/// What is on the picture.
fn shape(sketch: &str) -> &'static str {
    match sketch {
        "piston-crown" => {
            "<circle cx='60' cy='42' r='30'/><path d='M38 24a30 30 0 0 0 0 36M82 24a30 30 0 0 1 0 36'/><circle cx='60' cy='50' r='9'/><circle cx='60' cy='50' r='3'/>"
        }
        "hardness" => "<path d='M40 66h40v10h-40zM56 18h8v24h-8zM60 42l-4 10h8zM50 18h20'/>",
        "burette" => "<path d='M56 10h8v48l-4 8-4-8zM56 20h4M56 28h4M56 36h4M56 44h4M34 70h52v8h-52z'/>",
        "depth" => "<path d='M30 40h60v8h-60zM56 14h8v26M60 48v22M40 70h40M34 56v14M32 60l2-4 2 4M32 66l2 4 2-4'/>",
        "pulleys" => {
            "<circle cx='40' cy='46' r='22'/><circle cx='84' cy='46' r='14'/><path d='M44 24 87 32M44 68 87 60M40 46 54 32'/>"
        }
        "degree-wheel" => {
            "<circle cx='60' cy='44' r='32'/><path d='M60 12v8M60 68v8M28 44h8M84 44h8M60 44 78 22M37 21l5 6M83 67l-5-6M37 67l5-6'/><circle cx='60' cy='44' r='4'/>"
        }
        "lobe" => {
            "<path d='M60 16c-10 0-14 16-18 30a19 19 0 1 0 36 0c-4-14-8-30-18-30z'/><circle cx='60' cy='52' r='8'/>"
        }
        "valve" => {
            "<path d='M57 10v46c0 8-10 12-20 14v4h46v-4c-10-2-20-6-20-14v-46zM37 82h46M37 82l4-3M37 82l4 3M83 82l-4-3M83 82l-4 3'/>"
        }
        "bore" => "<path d='M30 12v66M90 12v66M22 12h8M90 12h8M30 44h60M34 40l-4 4 4 4M86 40l4 4-4 4'/>",
        "taper" => "<path d='M34 12 30 78M86 12l4 66M33 26h54M32 46h56M31 66h58' stroke-dasharray='3 2'/>",
        "crank" => "<path d='M14 46h16v-18h16v36h16v-36h16v36h14v-18h16M30 28v36M46 28v36M62 28v36M78 28v36'/>",
        "pump" => {
            "<path d='M24 18h72v54h-72z'/><circle cx='46' cy='45' r='17'/><circle cx='74' cy='45' r='17'/><circle cx='46' cy='45' r='3'/><circle cx='74' cy='45' r='3'/>"
        }
        "gauge" => {
            "<circle cx='60' cy='42' r='30'/><path d='M60 42 76 28M60 72v12M40 58l4-3M36 42h5M44 26l4 4M60 18v5M80 58l-4-3'/>"
        }
        "stamp" => "<path d='M24 24h72v42h-72zM34 52v-16l8 16v-16M50 36h10M55 36v16M68 36h10l-8 8h8v8h-10'/>",
        _ => "<path d='M24 18h72v54h-72zM24 18l72 54M96 18l-72 54'/>",
    }
}

/// A steel rule along the lower edge.
fn scale() -> String {
    let mut text =
        "<g stroke='#2b3438' stroke-width='.5'><rect x='10' y='79' width='100' height='7' fill='#e8ebe4'/>".to_owned();
    for mark in 0..=50 {
        let long = if mark % 5 == 0 { 4 } else { 2 };
        text.push_str(&format!("<path d='M{} 79v{long}'/>", 10 + mark * 2));
    }
    text + "</g>"
}

/// Puts a chunk with the time (Exif, DateTimeOriginal) behind the head of a PNG.
fn with_time(png: Vec<u8>, at: &str, _caption: &str) -> Vec<u8> {
    // The head of a PNG: signature 8, IHDR 25 bytes.
    const HEAD: usize = 33;
    if png.len() < HEAD {
        return png;
    }
    let time = format!("{} {}\0", at.get(..10).unwrap_or("").replace('-', ":"), at.get(11..19).unwrap_or("00:00:00"));
    // TIFF, big-endian: one directory that points at the Exif directory, which holds one time of 20 bytes.
    let mut exif: Vec<u8> = b"MM\0\x2a\0\0\0\x08".to_vec();
    let field = |tag: u16, kind: u16, count: u32, value: u32| {
        let mut bytes = tag.to_be_bytes().to_vec();
        bytes.extend(kind.to_be_bytes());
        bytes.extend(count.to_be_bytes());
        bytes.extend(value.to_be_bytes());
        bytes
    };
    exif.extend([0, 1]);
    exif.extend(field(0x8769, 4, 1, 26));
    exif.extend([0; 4]);
    exif.extend([0, 1]);
    exif.extend(field(0x9003, 2, 20, 44));
    exif.extend([0; 4]);
    exif.extend(time.as_bytes());
    let mut chunk = (exif.len() as u32).to_be_bytes().to_vec();
    let mut named = b"eXIf".to_vec();
    named.extend(&exif);
    chunk.extend(&named);
    chunk.extend(crc(&named).to_be_bytes());
    let mut whole = png[..HEAD].to_vec();
    whole.extend(chunk);
    whole.extend(&png[HEAD..]);
    whole
}

/// The check sum of a PNG chunk (CRC-32, ISO 3309).
fn crc(bytes: &[u8]) -> u32 {
    let mut crc = u32::MAX;
    for byte in bytes {
        crc ^= u32::from(*byte);
        for _ in 0..8 {
            crc = if crc & 1 == 1 { (crc >> 1) ^ 0xedb8_8320 } else { crc >> 1 };
        }
    }
    !crc
}
