//! The language server: what an editor is told while a worksheet is written.
//!
//! In go requests and the edits of documents, out go answers. Streams are opened by the command.
