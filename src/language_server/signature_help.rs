//! How the function is called whose arguments are being written.

use lsp_types::{
    Documentation, ParameterInformation, ParameterLabel, SignatureHelp, SignatureHelpParams,
    SignatureInformation,
};

use super::calls::{self, Form, Open};
use super::documents::Document;
use super::surroundings::{Surroundings, surroundings};
use crate::syntax;

/// How the function is called whose arguments are being written.
pub(super) fn signature_help(
    document: &Document,
    params: &SignatureHelpParams,
) -> Option<SignatureHelp> {
    let position = params.text_document_position_params.position;
    let offset = document.file().offset(position);
    let before = match surroundings(document.text(), offset) {
        Surroundings::Block { before, .. } | Surroundings::Code { before } => before,
        _ => return None,
    };
    let open = calls::open(before)?;
    of_author(document, offset, &open).or_else(|| of_language(&open))
}

fn of_language(open: &Open<'_>) -> Option<SignatureHelp> {
    let form = Form::named(open.name)?;
    let arguments: Vec<String> = form.arguments.iter().map(|it| (*it).to_owned()).collect();
    let active = match form.repeats {
        true => open.argument.min(arguments.len() - 1),
        false => open.argument,
    };
    Some(help(
        form.call(),
        form.name,
        &arguments,
        active,
        Some(form.gives),
    ))
}

fn of_author(document: &Document, offset: usize, open: &Open<'_>) -> Option<SignatureHelp> {
    let placed = document.problem_at(offset);
    let symbols = &placed.problem.symbols;
    let function = placed.find_function(&syntax::canonical(open.name))?;
    let arguments: Vec<String> = symbols
        .function(function)
        .parameters
        .iter()
        .map(|it| it.to_string())
        .collect();
    let name = &symbols.function(function).key;
    let label = calls::call(symbols, function);
    Some(help(label, name, &arguments, open.argument, None))
}

/// The form of the protocol. Places in the label are counted in UTF-16, whatever the encoding.
fn help(
    label: String,
    name: &str,
    arguments: &[String],
    active: usize,
    gives: Option<&str>,
) -> SignatureHelp {
    let length = |text: &str| text.encode_utf16().count() as u32;
    let mut at = length(name) + 1;
    let mut parameters = Vec::with_capacity(arguments.len());
    for argument in arguments {
        let end = at + length(argument);
        parameters.push(ParameterInformation {
            label: ParameterLabel::LabelOffsets([at, end]),
            documentation: None,
        });
        at = end + length(", ");
    }
    SignatureHelp {
        signatures: vec![SignatureInformation {
            label,
            documentation: gives.map(|gives| Documentation::String(gives.to_owned())),
            parameters: Some(parameters),
            active_parameter: Some(active as u32),
        }],
        active_signature: Some(0),
        active_parameter: Some(active as u32),
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::language_server::fixture;

    /// The call with the active argument in brackets of its own.
    fn shown(text: &str) -> Option<String> {
        let (document, cursor) = fixture::with_cursor(text);
        let params = SignatureHelpParams {
            context: None,
            text_document_position_params: fixture::at(cursor),
            work_done_progress_params: Default::default(),
        };
        let help = signature_help(&document, &params)?;
        let signature = help.signatures.first()?;
        let active = help.active_parameter? as usize;
        let mut units: Vec<u16> = signature.label.encode_utf16().collect();
        let parameter = signature.parameters.as_ref()?.get(active);
        if let Some(ParameterLabel::LabelOffsets([start, end])) = parameter.map(|it| &it.label) {
            units.insert(*end as usize, u16::from(b'>'));
            units.insert(*start as usize, u16::from(b'<'));
        }
        String::from_utf16(&units).ok()
    }

    #[test]
    fn functions_of_the_language_show_their_arguments() {
        let line = |text: &str| shown(&format!("```work\n{text}\n```\n"));
        assert_eq!(line("a = atan2(2, |").as_deref(), Some("atan2(y, <x>)"));
        assert_eq!(line("a = max(1, 2, 3|").as_deref(), Some("max(x, <…>)"));
        assert_eq!(line("a = sqrt(1, |").as_deref(), Some("sqrt(x)"));
        assert_eq!(
            line("a = cases(|").as_deref(),
            Some("cases(<value for condition>, value otherwise)")
        );
        assert_eq!(
            line("a = constant(mol|").as_deref(),
            Some("constant(<published name>)")
        );
        assert_eq!(line("a = 2 (|"), None);
        assert_eq!(line("a = 2 -- sqrt(|"), None);
    }

    #[test]
    fn functions_of_the_author_show_their_parameters() {
        let text = "# A\n```derive\nh_f(Q, λ) = Q λ\n```\n```work\na = h_f(2, |\n```\n";
        assert_eq!(shown(text).as_deref(), Some("h_f(Q, <lambda>)"));
        assert_eq!(
            shown(&format!("{text}# B\n")).as_deref(),
            Some("h_f(Q, <lambda>)")
        );
    }
}
