//! Names, units and comments: plain text blocks (TX) and text in tags (MD).

use super::source::Source;

/// Longest text that is kept, in characters; names and units are far shorter.
const LONGEST: usize = 400;

/// The plain text of a TX or MD block; `None` without a block, with an empty one, or with a damaged one.
pub(super) fn text(source: &Source<'_>, at: u64) -> Option<String> {
    if at == 0 {
        return None;
    }
    let block = source.block(at, &[b"TX", b"MD"]).ok()?;
    let end = block.body.iter().position(|b| *b == 0).unwrap_or(block.body.len());
    let written = String::from_utf8_lossy(&block.body[..end.min(16 * 1024)]);
    let plain = if &block.id == b"MD" { out_of_tags(&written) } else { written.into_owned() };
    let plain: String = plain.chars().filter(|c| !c.is_control()).take(LONGEST).collect();
    let plain = plain.trim();
    (!plain.is_empty()).then(|| plain.to_owned())
}

/// The text of the element `TX` if there is one, otherwise all text outside tags.
fn out_of_tags(xml: &str) -> String {
    let inner = xml.find("<TX").and_then(|from| {
        let open = xml[from..].find('>')? + from + 1;
        let close = xml[open..].find("</TX>")? + open;
        Some(&xml[open..close])
    });
    let mut plain = String::new();
    let mut inside = false;
    for c in inner.unwrap_or(xml).chars() {
        match c {
            '<' => inside = true,
            '>' if inside => inside = false,
            _ if !inside => plain.push(c),
            _ => {}
        }
    }
    plain.replace("&lt;", "<").replace("&gt;", ">").replace("&quot;", "\"").replace("&apos;", "'").replace("&amp;", "&")
}

#[cfg(test)]
mod tests {
    use super::out_of_tags;

    #[test]
    fn the_text_is_taken_out_of_the_tags() {
        assert_eq!(out_of_tags("<CNunit xmlns=\"x\"><TX>lb-ft</TX></CNunit>"), "lb-ft");
        assert_eq!(
            out_of_tags("<CNunit><TX xml:space=\"preserve\">a &lt; b &amp; c</TX><x>no</x></CNunit>"),
            "a < b & c"
        );
        assert_eq!(out_of_tags("<HDcomment><common>run 1</common></HDcomment>"), "run 1");
        assert_eq!(out_of_tags("plain"), "plain");
    }
}
