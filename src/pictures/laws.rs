//! What holds for every picture: what runs or leads elsewhere is gone, what draws is kept, and the
//! result is XML.
//!
//! `PROPTEST_CASES=100000 cargo test --lib pictures::laws` draws many.

use base64::Engine;
use base64::engine::general_purpose::STANDARD;
use proptest::prelude::*;

use super::{Refusal, picture};

/// Stands in all that runs or leads elsewhere, and nowhere else.
const HOSTILE: &str = "evil";
/// Stands in all that draws.
const KEPT: &str = "kept";

/// A part of a drawing, and how often what draws stands in it.
type Part = (String, usize);

fn attribute() -> impl Strategy<Value = Part> {
    let kept = prop::sample::select(vec![
        "id='kept'",
        "class = \"kept a\"",
        "d='M0 0 kept'",
        "style='fill:url(#kept)'",
        "mask=\"url( '#kept' )\"",
        "xml:lang='kept'",
        "data-x='&lt;kept&amp;&quot;&#10;&#x20;'",
    ]);
    let hostile = prop::sample::select(vec![
        "onclick='evil()'",
        "ONLOAD=\"evil()\"",
        "onbegin='&#101;vil'",
        "href='https://evil.example'",
        "href='//evil.example'",
        "href='evil.svg#a'",
        "href='javascript:evil()'",
        "href=' &#9;java&#10;script:evil()'",
        "href='data:image/svg+xml;base64,evil'",
        "href='data:text/html,evil'",
        "xlink:href='https://evil.example/#a'",
        "l:href='evil.svg'",
        "style='fill:url(https://evil.example)'",
        "style='fill:URL( \"evil.svg\")'",
        "style='background:image-set(\"evil\" 1x)'",
        "style='fill:\\75rl(evil)'",
        "fill='url(#a) url(evil.svg)'",
        "cursor=\"url('evil.cur'),auto\"",
        "xml:base='https://evil.example/'",
        "n:evil='1'",
        "xlink:title='evil'",
    ]);
    prop_oneof![
        kept.prop_map(|text| (text.to_owned(), 1)),
        hostile.prop_map(|text| (text.to_owned(), 0)),
    ]
}

/// At most one of each name, as XML has it.
fn attributes() -> impl Strategy<Value = Part> {
    prop::collection::vec(attribute(), 0..4).prop_map(|parts| {
        let mut names: Vec<String> = Vec::new();
        let (mut all, mut count) = (String::new(), 0);
        for (text, kept) in parts {
            let name = text.split('=').next().unwrap().trim();
            // Two prefixes of one namespace are one name as well.
            let name = name.replace("l:href", "xlink:href");
            let name = name.replace("xxlink", "xlink");
            if !names.contains(&name) {
                names.push(name);
                all.push(' ');
                all.push_str(&text);
                count += kept;
            }
        }
        (all, count)
    })
}

fn leaf() -> impl Strategy<Value = Part> {
    let parts = prop::sample::select(vec![
        ("<text>kept &lt;script&gt; &#38;</text>", 1),
        ("<![CDATA[kept <g> &amp;]]>", 1),
        ("<style>.kept{fill:url(#g)} a&gt;b{x:y}</style>", 1),
        ("<image xlink:href='data:image/png;base64,kept'/>", 1),
        ("<use href='#kept'/>", 1),
        ("<!-- evil --><?evil x?>", 0),
        ("<metadata><g id='evil'/></metadata>", 0),
        ("<n:view evil='1'><g id='evil'/></n:view>", 0),
        ("<h:script>evil()</h:script>", 0),
        ("<script>evil()</script>", 0),
        ("<script href='evil.js'/>", 0),
        ("<style>@import 'evil.css';</style>", 0),
        ("<style>a{b:url(&#104;ttp://evil)}</style>", 0),
        ("<style><![CDATA[@font-face{src:url(evil)}]]></style>", 0),
        ("<style>a{b:ur\\6c(evil)}</style>", 0),
        ("<style>a{b:<g>url(</g>evil)}</style>", 0),
        ("<set attributeName='href' to='evil'/>", 0),
        ("<animate attributeName='href' values='evil'/>", 0),
        ("<handler>evil()</handler>", 0),
        ("<SCRIPT>evil()</SCRIPT>", 0),
        ("<iframe src='evil'/>", 0),
    ]);
    parts.prop_map(|(text, kept)| (text.to_owned(), kept))
}

fn part() -> impl Strategy<Value = Part> {
    leaf().prop_recursive(6, 60, 5, |inner| {
        let names = prop::sample::select(vec![
            ("g", true),
            ("a", true),
            ("svg", true),
            ("s:g", true),
            ("text", true),
            ("clipPath", true),
            ("foreignObject", false),
            ("script", false),
            ("n:g", false),
            ("h:div", false),
        ]);
        let content = prop::collection::vec(inner, 0..5);
        (names, attributes(), content).prop_map(|((name, draws), (tags, own), content)| {
            let inner: String = content.iter().map(|(text, _)| text.as_str()).collect();
            let count: usize = content.iter().map(|(_, count)| count).sum::<usize>() + own;
            // What stands in what is left out is left out, and may not be taken for hostile.
            let text = format!("<{name}{tags}>{inner}</{name}>");
            match draws {
                true => (text, count),
                false => (text.replace(KEPT, HOSTILE), 0),
            }
        })
    })
}

/// A drawing, and how often what draws stands in it.
fn drawing() -> impl Strategy<Value = Part> {
    prop::collection::vec(part(), 0..6).prop_map(|parts| {
        let inner: String = parts.iter().map(|(text, _)| text.as_str()).collect();
        let text = format!(
            "<svg xmlns='http://www.w3.org/2000/svg' xmlns:s='http://www.w3.org/2000/svg' \
             xmlns:xlink='http://www.w3.org/1999/xlink' xmlns:l='http://www.w3.org/1999/xlink' \
             xmlns:h='http://www.w3.org/1999/xhtml' xmlns:n='urn:n' onload='evil()'>{inner}</svg>"
        );
        (text, parts.iter().map(|(_, count)| count).sum())
    })
}

/// The drawing that an address holds.
fn held(address: &str) -> String {
    let coded = address.strip_prefix("data:image/svg+xml;base64,").unwrap();
    String::from_utf8(STANDARD.decode(coded).unwrap()).unwrap()
}

proptest! {
    #[test]
    fn hostile_parts_are_gone_and_what_draws_is_kept((text, count) in drawing()) {
        let made = picture(text.as_bytes()).unwrap();
        let written = held(&made.address);
        let document = roxmltree::Document::parse(&written);
        prop_assert!(document.is_ok(), "{:?}: {}", document, written);
        prop_assert!(!written.contains(HOSTILE), "{text} became {written}");
        prop_assert_eq!(written.matches(KEPT).count(), count, "{} became {}", text, written);
        prop_assert!(!made.left_out.is_empty());
        // What was written anew is written anew as it is, and nothing is told of it.
        let again = picture(written.as_bytes()).unwrap();
        prop_assert_eq!(held(&again.address), written);
        prop_assert!(again.left_out.is_empty());
    }

    #[test]
    fn any_bytes_are_a_picture_or_refused(bytes in any::<Vec<u8>>(), kind in 0usize..5) {
        let begin: [&[u8]; 5] = [b"", b"\x89PNG\r\n\x1a\n", b"\xff\xd8\xff", b"<svg", b"<"];
        let bytes = [begin[kind], bytes.as_slice()].concat();
        prop_assert_eq!(picture(&bytes), picture(&bytes));
    }

    #[test]
    fn any_xml_is_a_drawing_or_refused(
        bits in prop::collection::vec(
            prop::sample::select(vec![
                "<svg", "<svg>", "</svg>", "<g", ">", "/>", "</g>", " a='", "'", "\"", "=", "&amp;",
                "&#0;", "&#x10FFFF;", "&", "<!--", "-->", "<![CDATA[", "]]>", "<?x", "?>",
                "<!DOCTYPE svg", "<!ENTITY a 'b'>", "&a;", "[", "]", "xmlns='", "xmlns:a='b' ", "a:b",
                "http://www.w3.org/2000/svg", "href='#a'", "<style>", "</style>", "<script>", "é",
                "\u{1}", "\u{ffff}", "\u{feff}", "\r\n", " ", "x",
            ]),
            0..40,
        ),
    ) {
        match picture(bits.concat().as_bytes()) {
            Ok(made) => {
                let written = held(&made.address);
                prop_assert!(roxmltree::Document::parse(&written).is_ok(), "{written}");
            }
            Err(refusal) => prop_assert!(refusal != Refusal::TooLarge),
        }
    }
}
