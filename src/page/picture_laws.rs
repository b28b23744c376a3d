//! What holds for every page with pictures: it is XML, loads nothing, and each figure is found by
//! its own number.

use std::collections::BTreeSet;
use std::sync::Arc;

use proptest::prelude::*;

use super::{html, latex};
use crate::text::{Beside, Memory, Source};
use crate::worksheet::compile_beside;

fn markdown() -> impl Strategy<Value = String> {
    let bits = prop::sample::select(vec![
        "![a](a.svg \"A\")",
        "![a & <b>](b.png \"B \\\"x\\\" (width 60 mm)\")",
        "![](c.gif \"(width 50 %)\")",
        "![c](c.gif)",
        "![x](bad.svg \"Bad\")",
        "![x](none.png \"None (width 1 km)\")",
        "![x](../a.svg \"Out\")",
        "[a]",
        "[the b][b]",
        "[c]",
        "\n\n",
        "\n\n",
        "\n",
        " ",
        "- ",
        "> ",
        "  ",
        "# One\n\n",
        "## Two\n\n",
        "words",
        "<!-- new page -->\n",
        "<!-- x -->",
        "<!--",
        "[^1]",
        "\n[^1]: ",
        "| ",
        "|-|-|\n",
        "```given\na = 1 m -- ![c](c.gif)\n```\n",
        "```derive\nb: x = y\n```\n",
    ]);
    prop::collection::vec(bits, 0..30).prop_map(|bits| bits.concat())
}

proptest! {
    #[test]
    fn a_page_with_pictures_is_whole(text in markdown()) {
        let files = Memory::default();
        files.write("a.svg", "<svg onload='x()'><path d='M0 0'/><script>x()</script></svg>");
        files.write("b.png", &b"\x89PNG\r\n\x1a\n\0\xff"[..]);
        files.write("c.gif", "GIF89a");
        files.write("bad.svg", "<svg><g></svg>");
        let beside = Beside::new(Arc::new(files), "w.md");
        let worksheet = compile_beside(Source::new("w.md", text.as_str()), &beside);
        let page = html(&worksheet);
        prop_assert_eq!(&page, &html(&worksheet));
        latex(&worksheet);
        let body = page.strip_prefix("<!DOCTYPE html>\n").unwrap();
        let document = roxmltree::Document::parse(body);
        prop_assert!(document.is_ok(), "{:?}", document.err());
        let document = document.unwrap();
        let all = |name: &'static str| {
            document.descendants().filter(move |it| it.has_tag_name(name))
        };
        for image in all("img") {
            let source = image.attribute("src").unwrap_or_default();
            prop_assert!(source.starts_with("data:image/"), "{source}");
        }
        let ids: Vec<&str> = document.descendants().filter_map(|it| it.attribute("id")).collect();
        let each: BTreeSet<&str> = ids.iter().copied().collect();
        prop_assert_eq!(ids.len(), each.len(), "{:?}", ids);
        // Figures count from 1 down the page, but for those in notes, which stand below it.
        let captions = all("figcaption").filter_map(|it| it.first_element_child());
        let captions: Vec<&str> = captions.filter_map(|it| it.text()).collect();
        for (at, caption) in captions.iter().enumerate() {
            prop_assert_eq!(*caption, format!("Figure\u{a0}{}.", at + 1));
        }
        for link in all("a") {
            let address = link.attribute("href").unwrap_or_default();
            let id = address.strip_prefix('#').unwrap_or(address);
            prop_assert!(id.starts_with("fn") || each.contains(id), "{address}");
        }
    }
}
