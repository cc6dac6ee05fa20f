"""The exported grammar in programs that read its forms: SRGS in an XML validator, JSGF in PocketSphinx.

* SRGS: lxml checks it against srgs.rng, which is written after the W3C specification, and that every rule that is called
  is there. Where Debian's package w3c-sgml-lib is installed, it also checks it against the W3C's own DTD of VoiceXML 2.1,
  whose elements for grammars are those of SRGS 1.0; there a grammar stands inside a dialogue and has no namespace.
* JSGF: PocketSphinx reads the whole file and builds the automaton of its public rule. Then it hears findings that flite
  (voice slt) speaks, through the rules of the export, and couchside must read the same from what it heard as from what
  was spoken. For speed it listens with a public rule of one finding instead of parts in any order, which takes it minutes.
* Words that PocketSphinx's dictionary (CMUdict) lacks get the pronunciation that flite's letter-to-sound rules give.

COUCHSIDE names the program (default: target/release/couchside).
"""

import json
import os
import re
import subprocess
import sys
import tempfile
import wave
from pathlib import Path

from lxml import etree
from pocketsphinx import Decoder, Jsgf, get_model_path

ROOT = Path(__file__).resolve().parents[2]
COUCHSIDE = os.environ.get("COUCHSIDE", str(ROOT / "target/release/couchside"))
W3C = Path("/usr/share/xml/w3c-sgml-lib/schema/dtd/REC-voicexml21-20070619/vxml.dtd")
SRGS = "{http://www.w3.org/2001/06/grammar}"
# One finding in the usual order, made of the export's own rules.
FINDING = "public <finding> = <side> <joint> <movement> <mode> <number_degrees> degrees [<end_feel>];\n"
SPOKEN = [
    "left hip abduction passive forty degrees firm end feel",
    "right knee extension active ten degrees",
    "right hip internal rotation passive thirty five degrees hard end feel",
    "left knee flexion active one hundred and thirty degrees",
]
# PocketSphinx mishears some: what is shown is that the rules work, not how well it hears.
AT_LEAST = 1


def couchside(*words, text=None):
    # Words of one's own have no place in a check of the project.
    with tempfile.TemporaryDirectory() as home:
        run = subprocess.run([COUCHSIDE, *words], input=text, capture_output=True, text=True, check=True,
                             env={**os.environ, "COUCHSIDE_HOME": home})
    return run.stdout


def check_srgs():
    text = couchside("grammar", "export", "--srgs")
    document = etree.fromstring(text.encode())
    schema = etree.RelaxNG(etree.parse(ROOT / "tests/outside/srgs.rng"))
    if not schema.validate(document):
        return f"SRGS: not valid: {schema.error_log.last_error}"
    made = [rule.get("id") for rule in document.iter(SRGS + "rule")]
    called = {"#" + document.get("root"), *(ref.get("uri") for ref in document.iter(SRGS + "ruleref"))}
    missing = called - {"#" + rule for rule in made}
    if missing:
        return f"SRGS: called but not there: {sorted(missing)}"
    if W3C.exists():
        dtd = etree.DTD(str(W3C))
        # DTDs know no namespaces.
        if not dtd.validate(etree.fromstring(text.replace(' xmlns="http://www.w3.org/2001/06/grammar"', "", 1).encode())):
            return f"SRGS: not valid for the W3C: {dtd.error_log.last_error}"
        print("SRGS: valid in the W3C's DTD of VoiceXML 2.1")
    else:
        print("SRGS: not compared with the W3C's DTD: w3c-sgml-lib is not on this computer", file=sys.stderr)
    print(f"SRGS: valid, {len(made)} rules (lxml {etree.__version__})")
    return None


def pronounce(decoder, jsgf):
    """Adds the words of the grammar that the dictionary lacks and returns how many there are."""
    body = re.sub(r"<\w+>|/[0-9.]+/|//.*|^#.*", " ", jsgf.split("\n\n", 1)[1])
    words = sorted({word.strip('"') for word in re.findall(r"[^\s|()\[\]=;+]+", body)} - {"public"})
    missing = [word for word in words if decoder.lookup_word(word) is None]
    for word in missing:
        run = subprocess.run(["t2p", word], capture_output=True, text=True, check=True)
        phones = [re.sub(r"\d", "", phone).upper() for phone in run.stdout.split() if phone != "pau"]
        # flite tells one more vowel apart than CMUdict.
        phones = ["AH" if phone == "AX" else phone for phone in phones]
        if phones:
            decoder.add_word(word, " ".join(phones), word == missing[-1])
    return len(words), len(missing)


def states(automaton, folder):
    file = Path(folder) / "whole.fsg"
    automaton.writefile(str(file))
    return int(re.search(r"NUM_STATES (\d+)", file.read_text())[1])


def findings(words):
    return json.loads(couchside("parse", words)).get("findings")


def check_jsgf():
    jsgf = couchside("grammar", "export", "--jsgf")
    decoder = Decoder(hmm=get_model_path("en-us/en-us"), dict=get_model_path("en-us/cmudict-en-us.dict"), lm=None,
                      loglevel="FATAL")
    known, added = pronounce(decoder, jsgf)
    with tempfile.TemporaryDirectory() as folder:
        whole = Path(folder) / "couchside.gram"
        whole.write_text(jsgf)
        read = Jsgf(str(whole))
        automaton = read.build_fsg(read.get_rule("couchside.dictation"), decoder.logmath, 6.5)
        print(f"JSGF: PocketSphinx builds {states(automaton, folder)} states; {known} words, "
              f"{added} with flite's pronunciation")
        decoder.add_jsgf_string("finding", jsgf.replace("public <dictation>", "<dictation>") + FINDING)
        decoder.activate_search("finding")
        right = 0
        for spoken in SPOKEN:
            sound = Path(folder) / "speech.wav"
            subprocess.run(["flite", "-voice", "slt", "-t", spoken, "-o", sound], check=True)
            with wave.open(str(sound)) as speech:
                assert speech.getframerate() == 16000
                decoder.start_utt()
                decoder.process_raw(speech.readframes(speech.getnframes()), full_utt=True)
                decoder.end_utt()
            heard = decoder.hyp().hypstr if decoder.hyp() else ""
            same = findings(heard) == findings(spoken) is not None
            right += same
            print(f"  {'as spoken' if same else 'MISHEARD'}: {spoken}" + ("" if same else f" -> {heard}"))
    if right < AT_LEAST:
        return "JSGF: PocketSphinx understood nothing of it"
    return None


if __name__ == "__main__":
    failed = [why for why in (check_srgs(), check_jsgf()) if why]
    for why in failed:
        print(why, file=sys.stderr)
    sys.exit(1 if failed else 0)
