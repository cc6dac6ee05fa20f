//! Listening is begun on the page: told plainly when it can't be, and as from the terminal when it can.

use std::time::{Duration, Instant};

use couchside::record::ClientDetails;

use super::*;
use crate::sound::server::Server;

/// A record with a client who has no visit yet.
fn a_client() -> TempDir {
    let home = tempfile::tempdir().unwrap();
    let mut record = Record::create(home.path(), &Passphrase::new(words()).unwrap()).unwrap();
    record.add_client("P-12", ClientDetails::default()).unwrap();
    home
}

/// Serves it to a program that finds only what these say.
fn served_with(home: TempDir, command: Command, variables: &[(&str, &str)]) -> Served {
    let mut command = command;
    command
        .envs(variables.iter().copied())
        .env("COUCHSIDE_PASSPHRASE", words());
    serve(command, home)
}

#[test]
fn what_is_missing_is_told_and_no_visit_is_begun() {
    let program = || Command::new(env!("CARGO_BIN_EXE_couchside"));
    let no_sound = [("PULSE_SERVER", "unix:/nowhere"), ("XDG_RUNTIME_DIR", "/nowhere")];
    for (variables, told, settings) in [
        (vec![("COUCHSIDE_MODELS", "/nowhere")], "speech model", ""),
        (no_sound.to_vec(), "no microphone", "microphone = \"none such\"\n"),
        (vec![], "by a key", "way_in = \"key-held\"\n"),
    ] {
        let home = a_client();
        std::fs::write(home.path().join("settings.toml"), settings).unwrap();
        let served = served_with(home, program(), &variables);
        let refused = served.post("/client/P-12/listen", &[("sound", "yes")]);
        assert_eq!(refused.status, 422);
        assert!(
            refused.body.contains("couchside does not listen") && refused.body.contains(told),
            "{}",
            refused.body
        );
        assert!(served.get("/live").body.contains("Nobody is listening"));
        assert_eq!(served.post("/client/nobody/listen", &[]).status, 409);
        assert_eq!(reopened(served.home.path()).case("P-12").unwrap().visits, []);
    }
}

#[test]
fn it_listens_until_it_is_stopped() {
    let server = Server::start();
    let served = served_with(a_client(), server.command(env!("CARGO_BIN_EXE_couchside")), &[]);
    std::fs::write(
        served.home.path().join("settings.toml"),
        "microphone = \"pulse\"\nloudspeaker = \"pulse\"\n",
    )
    .unwrap();
    let begun = served.post("/client/P-12/listen", &[]);
    assert_eq!(begun.header("location"), Some("/live"), "{}", begun.body);
    let again = served.post("/client/P-12/listen", &[]);
    assert!(again.body.contains("listens already, for P-12"), "{}", again.body);
    let live = || served.get("/live").body;
    // Said until something of it is understood: machines that are busy hear with gaps. How well it is heard is tested elsewhere.
    let began = Instant::now();
    while !live().contains("110 degrees") {
        assert!(began.elapsed() < Duration::from_secs(120), "{}", live());
        server.says("right-hip-flexion-active-110").wait().unwrap();
        std::thread::sleep(Duration::from_secs(8));
    }
    served.post("/live/stop", &[]);
    while !live().contains("Not listening") {
        assert!(began.elapsed() < Duration::from_secs(200), "{}", live());
        std::thread::sleep(Duration::from_millis(200));
    }
    // What was heard waits in the record, and is offered again.
    let record = reopened(served.home.path());
    let visit = record.visit_of("P-12", None).unwrap();
    assert!(!record.pending(visit).unwrap().is_empty());
    // And again.
    let begun = served.post("/client/P-12/listen", &[]);
    assert_eq!(begun.header("location"), Some("/live"), "{}", begun.body);
}
