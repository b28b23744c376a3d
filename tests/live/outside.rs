//! Attempts to read what is not served: outside the folder, hidden, or no worksheet and no image.

use std::fs;

use crate::program::{Program, result, sheet};

const SECRET: &str = "secret.md";

fn program() -> Program {
    let program = Program::with(&[
        ("a.md", &sheet(12)),
        ("sub/b.md", &sheet(13)),
        ("notes.txt", SECRET),
        (".hidden.md", SECRET),
        (".git/config.md", SECRET),
        ("sub/.c.png", SECRET),
        ("page.html", SECRET),
        ("noending", SECRET),
    ]);
    fs::write(program.folder.path().join(SECRET), SECRET).unwrap();
    program
}

#[track_caller]
fn refuses(program: &Program, paths: &[&str]) {
    for path in paths {
        let answer = program.get(path);
        assert!([400, 404].contains(&answer.status), "{path}: {answer:?}");
        assert!(!answer.body.contains(SECRET), "{path}: {answer:?}");
    }
    program.get("/sub/b.md").is(200).shows(&result(13));
}

#[test]
fn no_dots_lead_out() {
    let paths = [
        "/../secret.md",
        "/sub/../../secret.md",
        "/./../secret.md",
        "/sub/../a.md",
    ];
    refuses(&program(), &paths);
}

#[test]
fn no_encoded_dots_lead_out() {
    let paths = [
        "/%2e%2e/secret.md",
        "/%2E%2e/secret.md",
        "/.%2e/secret.md",
        "/sub/%2e%2e/a.md",
    ];
    refuses(&program(), &paths);
}

#[test]
fn no_encoded_slashes_lead_out() {
    let paths = [
        "/..%2fsecret.md",
        "/..%2Fsecret.md",
        "/sub%2fb.md",
        "/%2e%2e%2fsecret.md",
    ];
    refuses(&program(), &paths);
}

#[test]
fn no_backslashes_lead_out() {
    let paths = [
        "/..\\secret.md",
        "/..%5csecret.md",
        "/sub\\b.md",
        "/sub%5cb.md",
    ];
    refuses(&program(), &paths);
}

#[test]
fn nothing_is_decoded_twice() {
    let paths = [
        "/%252e%252e/secret.md",
        "/%252e%252e%252fsecret.md",
        "/sub%252fb.md",
    ];
    refuses(&program(), &paths);
}

#[test]
fn no_path_is_taken_from_the_root_of_the_disk() {
    let program = program();
    let secret = program.folder.path().join(SECRET);
    let secret = secret.to_str().unwrap();
    refuses(
        &program,
        &[secret, &format!("/{secret}"), &format!("/%2f{secret}")],
    );
    refuses(
        &program,
        &[
            "//etc/passwd",
            "/C:/secret.md",
            "/c:secret.md",
            "/file:///etc/a.md",
        ],
    );
}

#[test]
fn no_zero_byte_hides_an_ending() {
    refuses(&program(), &["/notes.txt%00.md", "/a.md%00", "/%00"]);
}

#[cfg(unix)]
#[test]
fn no_link_leads_out() {
    use std::os::unix::fs::symlink;
    let program = program();
    let outside = program.folder.path();
    symlink(outside.join(SECRET), program.path("file.md")).unwrap();
    symlink(outside, program.path("folder")).unwrap();
    symlink("../../secret.md", program.path("sub/up.md")).unwrap();
    symlink("notes.txt", program.path("other.md")).unwrap();
    symlink(".hidden.md", program.path("shown.md")).unwrap();
    symlink(outside.join(SECRET), program.path("image.png")).unwrap();
    let paths = [
        "/file.md",
        "/folder/secret.md",
        "/sub/up.md",
        "/other.md",
        "/shown.md",
        "/image.png",
    ];
    refuses(&program, &paths);
    let index = program.get("/").is(200).body;
    for path in paths {
        assert!(!index.contains(path), "{path} is listed");
    }
}

#[cfg(unix)]
#[test]
fn a_link_within_the_folder_is_one_of_its_files() {
    let program = program();
    std::os::unix::fs::symlink("../a.md", program.path("sub/link.md")).unwrap();
    program.get("/sub/link.md").is(200).shows(&result(12));
}

#[test]
fn nothing_hidden_is_served() {
    refuses(
        &program(),
        &[
            "/.hidden.md",
            "/.git/config.md",
            "/sub/.c.png",
            "/%2ehidden.md",
        ],
    );
}

#[test]
fn nothing_but_worksheets_and_images_is_served() {
    let paths = [
        "/notes.txt",
        "/page.html",
        "/noending",
        "/sub",
        "/sub/",
        "/favicon.ico",
    ];
    refuses(&program(), &paths);
}

#[test]
fn nothing_of_the_program_is_served_but_its_scripts() {
    refuses(
        &program(),
        &[
            "/-/",
            "/-",
            "/-/sheet.rs",
            "/-/../a.md",
            "/-/live.js/",
            "/-/%6cive.js",
        ],
    );
}

#[cfg(unix)]
#[test]
fn a_pipe_or_a_device_is_not_read() {
    let program = program();
    let made = std::process::Command::new("mkfifo")
        .arg(program.path("pipe.md"))
        .status();
    if made.is_ok_and(|status| status.success()) {
        program.get("/pipe.md").is(404);
    }
    std::os::unix::fs::symlink("/dev/zero", program.path("zero.png")).unwrap();
    program.get("/zero.png").is(404);
}
