//! Drawings (SVG), written anew from what draws.
//!
//! Kept are elements of the list below and their attributes. What may run (scripts, handlers,
//! animation) or lead out of the file (links, style sheets, pictures elsewhere) is left out and
//! told; what other programs note for themselves is left out without a word.

use roxmltree::{Attribute, Document, Node, ParsingOptions};

use super::Refusal;

/// The elements that draw.
const ELEMENTS: &[&str] = &[
    "a",
    "circle",
    "clipPath",
    "defs",
    "desc",
    "ellipse",
    "feBlend",
    "feColorMatrix",
    "feComponentTransfer",
    "feComposite",
    "feConvolveMatrix",
    "feDiffuseLighting",
    "feDisplacementMap",
    "feDistantLight",
    "feDropShadow",
    "feFlood",
    "feFuncA",
    "feFuncB",
    "feFuncG",
    "feFuncR",
    "feGaussianBlur",
    "feImage",
    "feMerge",
    "feMergeNode",
    "feMorphology",
    "feOffset",
    "fePointLight",
    "feSpecularLighting",
    "feSpotLight",
    "feTile",
    "feTurbulence",
    "filter",
    "g",
    "image",
    "line",
    "linearGradient",
    "marker",
    "mask",
    "path",
    "pattern",
    "polygon",
    "polyline",
    "radialGradient",
    "rect",
    "stop",
    "style",
    "svg",
    "switch",
    "symbol",
    "text",
    "textPath",
    "title",
    "tspan",
    "use",
];

const SVG: &str = "http://www.w3.org/2000/svg";
const XLINK: &str = "http://www.w3.org/1999/xlink";
const XML: &str = "http://www.w3.org/XML/1998/namespace";

/// Elements go no deeper.
const DEEPEST: usize = 200;
/// A tag has no more attributes, and a drawing no more names of kinds (`xmlns`): the work of the
/// parser grows with the square of both.
const MOST_ATTRIBUTES: usize = 500;
const MOST_NAMESPACES: usize = 1000;
/// So many kinds of parts that are left out are told.
const MOST_TOLD: usize = 5;

/// A drawing as it was written anew.
#[derive(Debug)]
pub(super) struct Drawing {
    pub text: String,
    pub left_out: Vec<String>,
}

/// Writes a drawing anew.
pub(super) fn written(text: &str) -> Result<Drawing, Refusal> {
    let refused = |reason: &str| Err(Refusal::Drawing(reason.to_owned()));
    if text.contains("<!ENTITY") {
        return refused("it declares entities");
    }
    if is_intricate(text) {
        return refused("its tags have too many parts");
    }
    let options = ParsingOptions {
        allow_dtd: true,
        ..ParsingOptions::default()
    };
    let document = match Document::parse_with_options(text, options) {
        Ok(document) => document,
        Err(error) => return refused(&format!("it is not well-formed: {error}")),
    };
    let root = document.root_element();
    if root.tag_name().name() != "svg" || !draws(root) {
        return Err(Refusal::NoPicture);
    }
    let mut writer = Writer {
        out: String::with_capacity(text.len()),
        left_out: Vec::new(),
    };
    match writer.element(root, 1) {
        true => Ok(Drawing {
            text: writer.out,
            left_out: writer.left_out,
        }),
        false => refused(&format!("its elements are nested deeper than {DEEPEST}")),
    }
}

/// Whether a tag has too many attributes, or the text too many namespaces.
fn is_intricate(text: &str) -> bool {
    let is_value = |rest: &&str| rest.trim_start().starts_with(['"', '\'']);
    let attributes = |tag: &str| tag.split('=').skip(1).filter(is_value).count();
    text.matches("xmlns").count() > MOST_NAMESPACES
        || (text.split('<')).any(|tag| attributes(tag) > MOST_ATTRIBUTES)
}

/// Whether an element is one of SVG; one without a namespace is taken for one.
fn draws(node: Node<'_, '_>) -> bool {
    node.tag_name().namespace().is_none_or(|kind| kind == SVG)
}

/// Whether a value or a style sheet leads out of the file: an address that is no `#name` in it, or
/// words that might hide one.
fn leads_out(value: &str) -> bool {
    let value = value.to_ascii_lowercase();
    let mut addresses = value.split("url(").skip(1);
    value.contains('\\')
        || ["image(", "image-set(", "src(", "javascript:"]
            .iter()
            .any(|word| value.contains(word))
        || addresses.any(|rest| {
            let inner = rest.trim_start().trim_start_matches(['"', '\'']);
            !inner.starts_with('#')
        })
}

/// Whether an address holds all its bytes, and these are pixels.
fn is_embedded(address: &str) -> bool {
    ["png", "jpeg", "jpg", "gif", "webp"].iter().any(|kind| {
        let rest = address.strip_prefix("data:image/");
        let rest = rest.and_then(|rest| rest.strip_prefix(kind));
        rest.is_some_and(|rest| rest.starts_with(";base64,"))
    })
}

struct Writer {
    out: String,
    left_out: Vec<String>,
}

impl Writer {
    /// Writes an element; false where one in it stands too deep.
    fn element(&mut self, node: Node<'_, '_>, depth: usize) -> bool {
        if depth > DEEPEST {
            return false;
        }
        let name = node.tag_name().name();
        self.out.push('<');
        self.out.push_str(name);
        if depth == 1 {
            self.out.push_str(" xmlns=\"");
            self.out.push_str(SVG);
            self.out.push('"');
        }
        let mut has_address = false;
        for attribute in node.attributes() {
            self.attribute(name, &attribute, &mut has_address);
        }
        self.out.push('>');
        for child in node.children() {
            if child.is_text() {
                escape(child.text().unwrap_or_default(), false, &mut self.out);
            }
            if child.is_element() && self.is_kept(child) && !self.element(child, depth + 1) {
                return false;
            }
        }
        self.out.push_str("</");
        self.out.push_str(name);
        self.out.push('>');
        true
    }

    /// Whether an element draws; tells of one that does something else.
    fn is_kept(&mut self, node: Node<'_, '_>) -> bool {
        let name = node.tag_name().name();
        if !draws(node) || name == "metadata" {
            return false;
        }
        if ELEMENTS.binary_search(&name).is_err() {
            self.tell(format!("`{name}`"));
            return false;
        }
        if name == "style" {
            let sheet: String = node.descendants().filter_map(|it| it.text()).collect();
            if sheet.contains('@') || leads_out(&sheet) {
                self.tell("a style sheet with `@` or `url(…)`".to_owned());
                return false;
            }
        }
        true
    }

    fn attribute(&mut self, of: &str, attribute: &Attribute<'_, '_>, has_address: &mut bool) {
        let (name, value) = (attribute.name(), attribute.value());
        let written = match (attribute.namespace(), name) {
            (None, name) => name,
            (Some(XLINK), "href") => "href",
            (Some(XML), "space") => "xml:space",
            (Some(XML), "lang") => "xml:lang",
            _ => return,
        };
        let is_address = written == "href";
        let is_left_out = match is_address {
            true => {
                let is_picture = matches!(of, "image" | "feImage") && is_embedded(value);
                !value.starts_with('#') && !is_picture
            }
            false => name.to_ascii_lowercase().starts_with("on") || leads_out(value),
        };
        if is_left_out {
            self.tell(format!("`{written}` of `{of}`"));
            return;
        }
        // `href` and `xlink:href` are one attribute here.
        if is_address && std::mem::replace(has_address, true) {
            return;
        }
        self.out.push(' ');
        self.out.push_str(written);
        self.out.push_str("=\"");
        escape(value, true, &mut self.out);
        self.out.push('"');
    }

    fn tell(&mut self, words: String) {
        let words = match self.left_out.len() {
            count if count < MOST_TOLD => words,
            _ => "more".to_owned(),
        };
        if !self.left_out.contains(&words) {
            self.left_out.push(words);
        }
    }
}

fn escape(text: &str, is_value: bool, out: &mut String) {
    for letter in text.chars() {
        match letter {
            '&' => out.push_str("&amp;"),
            '<' => out.push_str("&lt;"),
            '>' => out.push_str("&gt;"),
            '"' => out.push_str("&quot;"),
            // Written out, a reader would take them for other blanks.
            '\r' => out.push_str("&#13;"),
            '\n' if is_value => out.push_str("&#10;"),
            '\t' if is_value => out.push_str("&#9;"),
            other => out.push(other),
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn cleaned(text: &str) -> (String, Vec<String>) {
        let drawing = written(text).unwrap();
        (drawing.text, drawing.left_out)
    }

    fn reason(text: &str) -> String {
        match written(text) {
            Err(Refusal::Drawing(reason)) => reason,
            other => panic!("{other:?}"),
        }
    }

    #[test]
    fn what_draws_is_kept() {
        let text = "<svg xmlns=\"http://www.w3.org/2000/svg\" width=\"4\"><style>.a{fill:url(#g)}\
                    </style><g id=\"a\" style=\"fill:url('#g')\"><path d=\"M0 0\"></path></g>\
                    <text>a &amp; b</text><use href=\"#a\"></use>\
                    <image href=\"data:image/png;base64,AA\"></image></svg>";
        assert_eq!(cleaned(text), (text.to_owned(), Vec::new()));
    }

    #[test]
    fn what_runs_or_leads_elsewhere_is_left_out_and_told() {
        for (inner, told) in [
            ("<script>x()</script>", "`script`"),
            ("<g onclick=\"x()\"></g>", "`onclick` of `g`"),
            ("<g OnLoad=\"x()\"></g>", "`OnLoad` of `g`"),
            ("<a href=\"https://a.example\"></a>", "`href` of `a`"),
            ("<use href=\"b.svg#a\"></use>", "`href` of `use`"),
            (
                "<image href=\"data:image/svg+xml,x\"></image>",
                "`href` of `image`",
            ),
            ("<foreignObject><p>x</p></foreignObject>", "`foreignObject`"),
            ("<set attributeName=\"href\"/>", "`set`"),
            ("<g style=\"fill:url(//a.example)\"></g>", "`style` of `g`"),
            ("<g fill=\"u\\72l(x)\"></g>", "`fill` of `g`"),
            (
                "<style>@import 'x'</style>",
                "a style sheet with `@` or `url(…)`",
            ),
        ] {
            let (text, left_out) = cleaned(&format!("<svg>{inner}</svg>"));
            assert_eq!(left_out, [told], "{inner}");
            assert!(!text.contains("x()") && !text.contains("example"), "{text}");
        }
    }

    #[test]
    fn the_notes_of_programs_go_without_a_word() {
        let (text, left_out) = cleaned(
            "<?xml version=\"1.0\"?><!DOCTYPE svg PUBLIC \"-//W3C//DTD SVG 1.1//EN\" \"x.dtd\">\
             <!-- c --><svg xmlns:n=\"urn:n\" n:v=\"1\"><metadata>m</metadata><n:view/><g/></svg>",
        );
        assert_eq!(
            text,
            "<svg xmlns=\"http://www.w3.org/2000/svg\"><g></g></svg>"
        );
        assert!(left_out.is_empty());
    }

    #[test]
    fn what_is_no_drawing_or_too_intricate_is_refused() {
        assert!(reason("<svg><g></svg>").starts_with("it is not well-formed: "));
        assert_eq!(
            reason("<!DOCTYPE svg [<!ENTITY a \"b\">]><svg>&a;</svg>"),
            "it declares entities"
        );
        assert!(matches!(written("<html/>"), Err(Refusal::NoPicture)));
        let nested = |depth: usize| {
            let (open, close) = ("<g>".repeat(depth), "</g>".repeat(depth));
            format!("<svg>{open}{close}</svg>")
        };
        assert!(written(&nested(DEEPEST - 1)).is_ok());
        assert!(reason(&nested(DEEPEST)).contains("deeper than 200"));
        assert!(reason(&nested(300_000)).contains("deeper than 200"));
        let attributes: String = (0..5000).map(|at| format!("a{at} = '1' ")).collect();
        assert!(reason(&format!("<svg {attributes}/>")).contains("too many parts"));
        let names = "<g xmlns:a=\"b\">".repeat(5000);
        assert!(reason(&format!("<svg>{names}")).contains("too many parts"));
    }

    #[test]
    fn the_list_of_elements_is_in_order() {
        assert!(ELEMENTS.is_sorted());
    }
}
