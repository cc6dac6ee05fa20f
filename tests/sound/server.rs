//! From end to end through a real sound server: PulseAudio, with a microphone and a loudspeaker that are not there, in a room in
//! which the one hears the other. The program is run as users run it.

use std::io::{BufRead, BufReader};
use std::path::Path;
use std::process::{Child, Command, Stdio};
use std::sync::mpsc::{Receiver, channel};
use std::time::{Duration, Instant};

use serde_json::Value;
use tempfile::TempDir;

use super::made::rms;

/// How long anything may take that is waited for. Other tests run beside.
const PATIENCE: Duration = Duration::from_secs(60);
/// After so long without an answer something is said again.
const AGAIN: Duration = Duration::from_secs(12);

/// The server: what goes to the sink `room` is sounded; what goes to `desk` is heard, and what is sounded is heard too, 60 ms
/// later.
pub(crate) struct Server {
    folder: TempDir,
    process: Child,
}

impl Server {
    pub(crate) fn start() -> Server {
        let folder = TempDir::new().unwrap();
        let process = Server::process(&folder);
        let server = Server { folder, process };
        server.is_ready();
        server
    }

    /// Dies and is there again, as after a crash or an update of the system.
    fn dies_and_comes_back(&mut self) {
        self.process.kill().unwrap();
        self.process.wait().unwrap();
        std::thread::sleep(Duration::from_secs(4));
        let _ = std::fs::remove_file(self.folder.path().join("native"));
        self.process = Server::process(&self.folder);
        self.is_ready();
    }

    fn process(folder: &TempDir) -> Child {
        let socket = folder.path().join("native");
        let mut command = Command::new("pulseaudio");
        command.args([
            "-n",
            "--daemonize=no",
            "--exit-idle-time=-1",
            "--log-level=0",
            "--use-pid-file=no",
        ]);
        for module in [
            &format!(
                "module-native-protocol-unix socket={} auth-anonymous=1",
                socket.display()
            ),
            "module-null-sink sink_name=room rate=48000",
            "module-null-sink sink_name=desk rate=48000",
            "module-remap-source master=desk.monitor source_name=microphone",
            "module-loopback source=room.monitor sink=desk latency_msec=60",
        ] {
            command.arg("-L").arg(module);
        }
        // Root, as whom some machines test, must be told that it may.
        command
            .env("XDG_RUNTIME_DIR", folder.path())
            .env("HOME", folder.path())
            .stderr(Stdio::null())
            .spawn()
            .expect("this test needs pulseaudio installed")
    }

    fn is_ready(&self) {
        let began = Instant::now();
        while !self.control(&["info"]) {
            assert!(began.elapsed() < PATIENCE, "the sound server did not start");
            std::thread::sleep(Duration::from_millis(100));
        }
        // The loudspeaker is softer at the microphone than whoever speaks there (the scale is the cube root).
        assert!(self.control(&["set-sink-input-volume", "0", "60%"]));
        assert!(self.control(&["set-default-sink", "room"]));
        assert!(self.control(&["set-default-source", "microphone"]));
    }

    /// A program that finds this server.
    pub(crate) fn command(&self, program: &str) -> Command {
        let mut command = Command::new(program);
        command
            .env(
                "PULSE_SERVER",
                format!("unix:{}", self.folder.path().join("native").display()),
            )
            .env("XDG_RUNTIME_DIR", self.folder.path());
        command
    }

    fn control(&self, words: &[&str]) -> bool {
        let output = self.command("pactl").args(words).output();
        output.expect("this test needs pactl installed").status.success()
    }

    /// The therapist says one of the samples.
    pub(crate) fn says(&self, sample: &str) -> Child {
        let file = format!("{}/audio-samples/{sample}/speech.wav", env!("CARGO_MANIFEST_DIR"));
        let mut command = self.command("paplay");
        command
            .arg("--device=desk")
            .arg(file)
            .spawn()
            .expect("this test needs paplay installed")
    }
}

impl Drop for Server {
    fn drop(&mut self) {
        let _ = self.process.kill();
        let _ = self.process.wait();
    }
}

/// The program, listening.
struct Listening {
    process: Child,
    events: Receiver<Value>,
    seen: Vec<Value>,
}

impl Listening {
    fn start(server: &Server, home: &Path) -> Listening {
        let mut process = server
            .command(env!("CARGO_BIN_EXE_couchside"))
            .args(["listen", "--client", "demo-1", "--json", "--microphone", "pulse"])
            .env("COUCHSIDE_HOME", home)
            .env("COUCHSIDE_PASSPHRASE_FILE", home.join("passphrase"))
            .stdout(Stdio::piped())
            .stderr(Stdio::piped())
            .spawn()
            .unwrap();
        let (sender, events) = channel();
        let stdout = process.stdout.take().unwrap();
        std::thread::spawn(move || {
            for line in BufReader::new(stdout).lines().map_while(Result::ok) {
                let event = serde_json::from_str(&line).expect("each line is an event");
                if sender.send(event).is_err() {
                    break;
                }
            }
        });
        // It says on standard error when it listens.
        let stderr = BufReader::new(process.stderr.take().unwrap());
        let mut said = stderr.lines().map_while(Result::ok);
        assert!(
            said.any(|line| line.starts_with("listening")),
            "it does not listen"
        );
        std::thread::spawn(move || said.count());
        Listening {
            process,
            events,
            seen: Vec::new(),
        }
    }

    /// Says a sample, again where it was not understood or had to be read back once more first, until there is an event of this
    /// name. Machines that are busy sound and hear with gaps.
    fn until(&mut self, server: &Server, sample: &str, name: &str) -> Value {
        for _ in 0..6 {
            server.says(sample).wait().unwrap();
            let said = Instant::now();
            while let Ok(event) = self.events.recv_timeout(AGAIN.saturating_sub(said.elapsed())) {
                self.seen.push(event.clone());
                if event["event"] == name {
                    return event;
                }
            }
        }
        panic!("no {name} after {:?}", self.seen);
    }

    /// Waits for so many events of this name.
    fn awaits(&mut self, name: &str, times: usize) {
        let began = Instant::now();
        let count = |seen: &[Value]| seen.iter().filter(|event| event["event"] == name).count();
        while count(&self.seen) < times {
            let left = PATIENCE.saturating_sub(began.elapsed());
            let event = self.events.recv_timeout(left);
            self.seen
                .push(event.unwrap_or_else(|_| panic!("not {times} {name} in {:?}", self.seen)));
        }
    }

    /// Says a finding until it is proposed whole. Where a word of it was lost on the way, and is asked for, it is dropped and said again.
    fn whole(&mut self, server: &Server, sample: &str) -> Value {
        for _ in 0..4 {
            let proposed = self.until(server, sample, "proposed");
            if proposed["finding"]["missing"].is_null() {
                return proposed;
            }
            std::thread::sleep(Duration::from_secs(6));
            self.until(server, "disregard", "disregarded");
            std::thread::sleep(Duration::from_secs(3));
        }
        panic!("it was never whole: {:?}", self.seen);
    }

    fn stop(mut self) -> Vec<Value> {
        let interrupt = Command::new("kill")
            .args(["-INT", &self.process.id().to_string()])
            .status();
        assert!(interrupt.unwrap().success() && self.process.wait().unwrap().success());
        self.seen.extend(self.events.iter());
        self.seen
    }
}

/// What the loudspeaker sounded, 48 kHz mono.
fn sounded(path: &Path) -> Vec<f32> {
    let bytes = std::fs::read(path).unwrap();
    let pairs = bytes.as_chunks::<2>().0;
    pairs
        .iter()
        .map(|pair| f32::from(i16::from_le_bytes(*pair)) / 32_768.0)
        .collect()
}

#[test]
fn a_visit_through_a_sound_server() {
    let mut server = Server::start();
    let home = TempDir::new().unwrap();
    std::fs::write(home.path().join("passphrase"), "a long throw-away passphrase\n").unwrap();
    let run = |words: &[&str]| {
        let output = Command::new(env!("CARGO_BIN_EXE_couchside"))
            .args(words)
            .env("COUCHSIDE_HOME", home.path())
            .env("COUCHSIDE_PASSPHRASE_FILE", home.path().join("passphrase"))
            .output()
            .unwrap();
        assert!(output.status.success(), "{words:?}: {output:?}");
        String::from_utf8(output.stdout).unwrap()
    };
    run(&["record", "new"]);
    run(&["settings", "loudspeaker", "pulse"]);
    let heard = home.path().join("sounded.raw");
    let mut ear = server
        .command("parec")
        .args([
            "--device=room.monitor",
            "--format=s16le",
            "--rate=48000",
            "--channels=1",
        ])
        .arg(&heard)
        .spawn()
        .expect("this test needs parec installed");
    let mut listening = Listening::start(&server, home.path());
    let proposed = listening.whole(&server, "right-hip-flexion-active-110");
    assert_eq!(proposed["finding"]["degrees"]["to"], 110);
    // The read-back takes about three seconds; it is in the microphone as well.
    std::thread::sleep(Duration::from_secs(6));
    let spoken = sounded(&heard).len();
    listening.until(&server, "confirm", "recorded");
    std::thread::sleep(Duration::from_secs(4));

    // What the program had open then can never be closed; it is told, and the microphone is there again when the server is.
    server.dies_and_comes_back();
    listening.awaits("notice", 2);
    std::thread::sleep(Duration::from_secs(2));

    // The therapist speaks over the read-back.
    listening.whole(&server, "left-hip-abduction-passive-40-firm");
    std::thread::sleep(Duration::from_millis(1500));
    listening.until(&server, "correction-45", "corrected");
    std::thread::sleep(Duration::from_secs(8));
    listening.until(&server, "confirm", "recorded");
    std::thread::sleep(Duration::from_secs(2));

    let events = listening.stop();
    let _ = ear.kill();
    let _ = ear.wait();
    for event in events.iter().filter(|event| !event["heard"].is_null()) {
        println!("{} {}", event["event"], event["heard"]);
    }
    let named = |name: &str| events.iter().filter(|event| event["event"] == name).count();
    assert_eq!(
        (
            named("proposed") - named("disregarded"),
            named("corrected"),
            named("recorded")
        ),
        (2, 1, 2),
        "{events:?}"
    );
    assert!(
        rms(&sounded(&heard)[..spoken]) > 0.01,
        "the read-back was not heard"
    );
    let case: Value = serde_json::from_str(&run(&["show", "--client", "demo-1", "--json"])).unwrap();
    let findings = case["visits"][0]["findings"].as_array().unwrap();
    let degrees: Vec<&Value> = findings
        .iter()
        .map(|kept| &kept["finding"]["degrees"]["to"])
        .collect();
    assert_eq!(degrees, [110, 45]);
}
