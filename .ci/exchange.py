"""Reads what the command writes with libraries of others: MIDI files with mido, compressed
MusicXML with zipfile. Usage: exchange.py CARTELLA VALIDATE FOLDER PARTS..."""

import json
import pathlib
import subprocess
import sys
import zipfile
from fractions import Fraction
from xml.etree import ElementTree

import mido

STEPS = {"C": 0, "D": 2, "E": 4, "F": 5, "G": 7, "A": 9, "B": 11}


def key(pitch):
    """The key number of `F#3`, by MIDI 1.0: middle C, C4, is 60."""
    octave = int(pitch[-1])
    alteration = pitch.count("#") - pitch[1:].count("b")
    return 12 * (octave + 1) + STEPS[pitch[0]] + alteration


def of_the_grid(grid):
    """For each voice its notes: key, onset and length in minims."""
    voices = {}
    for voice in grid["voices"]:
        notes = []
        for event in voice["events"]:
            for pitch in event.get("pitch", "").split("+") if event["kind"] == "note" else []:
                notes.append((Fraction(event["at"]), key(pitch), Fraction(event["for"])))
        voices[voice["name"]] = sorted(notes)
    return voices


def of_the_midi(path):
    """The same from a MIDI file; a minim is a half note."""
    file = mido.MidiFile(path)
    assert file.type == 1, file.type
    voices = {}
    for track in file.tracks[1:]:
        now, sounding, notes = 0, {}, []
        for message in track:
            now += message.time
            if message.type == "note_on" and message.velocity > 0:
                assert message.note not in sounding
                sounding[message.note] = now
            elif message.type in ("note_on", "note_off"):
                begin = sounding.pop(message.note)
                ticks = 2 * file.ticks_per_beat
                notes.append((Fraction(begin, ticks), message.note, Fraction(now - begin, ticks)))
        assert not sounding
        voices[track.name] = sorted(notes)
    return voices


def plays(midi, grid):
    """Whether a file plays what is in a grid: every note begins when it should, and is let go at its
    end or a little earlier, as docs/playing.md says."""
    if midi.keys() != grid.keys() or any(len(midi[name]) != len(grid[name]) for name in grid):
        return False
    pairs = [pair for name in grid for pair in zip(midi[name], grid[name])]
    return all(
        played[:2] == counted[:2] and counted[2] / 2 <= played[2] <= counted[2]
        for played, counted in pairs
    )


def musicxml_of(path):
    """The score in a compressed file, by way of its container."""
    with zipfile.ZipFile(path) as archive:
        assert archive.testzip() is None
        container = ElementTree.fromstring(archive.read("META-INF/container.xml"))
        return archive.read(container.find(".//{*}rootfile").attrib["full-path"])


def main(cartella, validate, folder, *parts):
    folder = pathlib.Path(folder)
    scores, notes = [], 0
    for path in parts:
        stem = folder / pathlib.Path(path).stem
        outputs = [f"{stem}.mid", f"{stem}.mxl", f"{stem}.musicxml"]
        arguments = [argument for output in outputs for argument in ("-o", output)]
        # Status 1 is an error in the music, which is written all the same.
        command = [cartella, "score", path, *arguments, "--repeats", "once"]
        status = subprocess.run(command, stderr=subprocess.DEVNULL)
        assert status.returncode in (0, 1), path
        answer = subprocess.run(
            [cartella, "grid", path, "--format", "json"],
            stdout=subprocess.PIPE,
            stderr=subprocess.DEVNULL,
        )
        grid = of_the_grid(json.loads(answer.stdout))
        assert plays(of_the_midi(outputs[0]), grid), path
        score = musicxml_of(outputs[1])
        assert score == pathlib.Path(outputs[2]).read_bytes(), path
        unpacked = folder / f"{stem.name}-unpacked.musicxml"
        unpacked.write_bytes(score)
        scores.append(str(unpacked))
        notes += sum(len(voice) for voice in grid.values())
    subprocess.run([validate, *scores], check=True, stderr=subprocess.DEVNULL)
    print(f"{len(parts)} pieces, {notes} notes: MIDI and compressed MusicXML read back by others")


if __name__ == "__main__":
    main(*sys.argv[1:])
