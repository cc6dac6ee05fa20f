//! Nobody comes in but a browser on this machine that was opened with the printed address.

use super::*;

#[test]
fn only_the_printed_address_opens_it() {
    let served = served(record().0, true);
    assert_eq!(served.get("/").status, 200);
    for path in [
        "/",
        "/client/P-12",
        "/search?q=hip",
        "/live/events",
        "/sound/1",
        "/page.css",
    ] {
        assert_eq!(served.ask(&format!("GET {path}"), &[], "").status, 403, "{path}");
        let other = [("Cookie", "couchside=0000")];
        assert_eq!(
            served.ask(&format!("GET {path}"), &other, "").status,
            403,
            "{path}"
        );
    }
    for token in ["", "0000", &served.token[1..], &served.cookie] {
        let entered = served.ask(&format!("GET /enter?token={token}"), &[], "");
        assert_eq!(
            (entered.status, entered.header("set-cookie")),
            (403, None),
            "{token}"
        );
    }
    assert_ne!(served.token, served.cookie.trim_start_matches("couchside="));
}

/// A name that another site points at this machine (DNS rebinding) is refused, as is what another site sends.
#[test]
fn other_sites_are_refused() {
    let served = served(record().0, true);
    let cookie = ("Cookie", served.cookie.as_str());
    let port = served.host.rsplit_once(':').unwrap().1;
    for host in [
        "example.org",
        &format!("example.org:{port}"),
        &format!("127.0.0.1.example.org:{port}"),
    ] {
        assert_eq!(
            served.ask("GET /", &[("Host", host), cookie], "").status,
            403,
            "{host}"
        );
        let entered = served.ask(
            &format!("GET /enter?token={}", served.token),
            &[("Host", host)],
            "",
        );
        assert_eq!(entered.status, 403, "{host}");
    }
    let here = format!("http://{}", served.host);
    for (origin, status) in [
        (Some(here.as_str()), 303),
        (Some("http://example.org"), 403),
        (Some("null"), 403),
        (Some("https://127.0.0.1"), 403),
        (None, 403),
    ] {
        let mut headers = vec![cookie];
        headers.extend(origin.map(|origin| ("Origin", origin)));
        let added = served.ask("POST /", &headers, &format!("code=A-{status}"));
        assert_eq!(added.status, if status == 303 { 303 } else { 403 }, "{origin:?}");
    }
    let clients = reopened(served.home.path()).clients().unwrap();
    let codes: Vec<&str> = clients.iter().map(|client| client.code.as_str()).collect();
    assert_eq!(codes, ["A-303", "P-12"]);
    for (site, status) in [
        ("same-origin", 200),
        ("none", 200),
        ("cross-site", 403),
        ("same-site", 403),
    ] {
        let headers = [cookie, ("Sec-Fetch-Site", site)];
        assert_eq!(served.ask("GET /", &headers, "").status, status, "{site}");
    }
}

#[test]
fn every_answer_forbids_what_is_not_its_own() {
    let served = served(record().0, true);
    let cookie = served.ask(&format!("GET /enter?token={}", served.token), &[], "");
    let set = cookie.header("set-cookie").unwrap();
    assert!(
        set.contains("HttpOnly") && set.contains("SameSite=Strict"),
        "{set}"
    );
    for path in [
        "/",
        "/nowhere",
        "/page.js",
        "/client/nobody",
        "/search?q=%ff",
        "/unlock",
    ] {
        let answer = served.get(path);
        let policy = answer.header("content-security-policy").unwrap();
        assert!(
            policy.starts_with("default-src 'none'") && !policy.contains("unsafe"),
            "{policy}"
        );
        assert_eq!(answer.header("cache-control"), Some("no-store"), "{path}");
        assert_eq!(answer.header("x-content-type-options"), Some("nosniff"), "{path}");
        assert_eq!(answer.header("x-frame-options"), Some("DENY"), "{path}");
        // Nothing inline, and nothing from elsewhere.
        for forbidden in ["style=", "onclick", "<style", "https://", "javascript:"] {
            assert!(!answer.body.contains(forbidden), "{path}: {forbidden}");
        }
    }
    assert!(!served.get("/").body.contains(&served.token));
}

#[test]
fn it_is_bound_to_this_machine_alone() {
    let served = served(record().0, true);
    assert!(served.host.starts_with("127.0.0.1:"));
    let port: u16 = served.host.rsplit_once(':').unwrap().1.parse().unwrap();
    // In a second program the port is taken, and that is said.
    let again = Command::new(env!("CARGO_BIN_EXE_couchside"))
        .args(["page", "--no-open", "--port", &port.to_string()])
        .env("COUCHSIDE_HOME", served.home.path())
        .env("COUCHSIDE_PASSPHRASE", words())
        .output()
        .unwrap();
    assert_eq!(again.status.code(), Some(1));
    let said = String::from_utf8(again.stderr).unwrap();
    assert!(
        said.contains(&format!("use port {port} of this machine")),
        "{said}"
    );
}
