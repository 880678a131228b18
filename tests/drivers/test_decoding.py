"""One contract for every decoder: cuts do not matter, spoilt input is refused, memory is bounded."""

import math

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from drivers.checksums import xor8
from drivers.decoding import make_decoder
from drivers.profile import list_profiles, load_profile
from drivers.readings import DeviceNotice, Quality, Readings

TALKERS = {profile.name: profile for profile in list_profiles() if not profile.asks}
PROTECTED = [name for name, profile in TALKERS.items() if make_decoder(profile).protected]
BENCH = TALKERS["simulated-bench"]


def good_frames(profile) -> list[bytes]:
    return [sample.data() for sample in profile.sample if sample.readings]


def decoded(profile, pieces, *, arrival=100.0, **kind):
    decoder = make_decoder(profile, **kind)
    events = [event for piece in pieces for event in decoder.feed(piece, arrival)]
    return events + decoder.close(arrival), decoder


def values(events):
    found: dict[str, list[float]] = {}
    for event in events:
        if isinstance(event, Readings):
            found.setdefault(event.channel, []).extend(event.value.tolist())
    return found


def same(left, right):
    assert left.keys() == right.keys()
    for channel in left:
        np.testing.assert_array_equal(left[channel], right[channel])


@pytest.mark.parametrize("name", TALKERS)
def test_values_do_not_depend_on_the_cuts(name):
    profile = TALKERS[name]
    stream = b"".join(sample.data() for sample in profile.sample) * 3
    whole, _ = decoded(profile, [stream])
    same(values(whole), values(decoded(profile, [stream[n : n + 1] for n in range(len(stream))])[0]))
    for cut in range(1, len(stream), 7):
        same(values(whole), values(decoded(profile, [stream[:cut], stream[cut:]])[0]))


@pytest.mark.parametrize("name", TALKERS)
def test_every_good_frame_gives_one_reading_of_each_of_its_channels(name):
    profile = TALKERS[name]
    frames = good_frames(profile)
    events, decoder = decoded(profile, frames)
    wanted = [channel for sample in profile.sample for channel in sample.readings]
    found = [channel for channel, numbers in values(events).items() for _ in numbers]
    assert sorted(found) == sorted(wanted)
    assert (decoder.frames, decoder.spoilt) == (len(frames), 0)


SPOILERS = {
    "cut": lambda frame: frame[: len(frame) // 2],
    "dropped byte": lambda frame: frame[:3] + frame[4:],
    "doubled byte": lambda frame: frame[:4] + frame[3:],
    "flipped bit": lambda frame: frame[:5] + bytes([frame[5] ^ 0x04]) + frame[6:],
    "noise inside": lambda frame: frame[:6] + b"\xff\xfe\x80" + frame[6:],
}


@pytest.mark.parametrize("name", PROTECTED)
@pytest.mark.parametrize("spoiler", SPOILERS)
def test_a_spoilt_frame_under_a_checksum_gives_nothing_and_does_not_harm_its_neighbours(name, spoiler):
    profile = TALKERS[name]
    frame = good_frames(profile)[0]
    events, decoder = decoded(profile, [frame, SPOILERS[spoiler](frame), frame, frame])
    clean, _ = decoded(profile, [frame])
    for channel, numbers in values(events).items():
        assert set(numbers) == set(values(clean)[channel])
        # a frame that lost its end takes the one that it runs into with it, unless that one begins with a mark
        assert 2 <= len(numbers) <= 3
    assert decoder.spoilt >= 1


@pytest.mark.parametrize("name", [name for name in TALKERS if name not in PROTECTED])
@pytest.mark.parametrize("spoiler", ["cut", "noise inside"])
def test_a_frame_that_breaks_the_grammar_gives_nothing(name, spoiler):
    profile = TALKERS[name]
    frame = good_frames(profile)[0]
    end = frame[len(frame.rstrip(b"\r\n")) :]
    spoilt = SPOILERS[spoiler](frame.rstrip(b"\r\n")) + end
    events, decoder = decoded(profile, [frame, spoilt, frame])
    clean, _ = decoded(profile, [frame])
    for channel, numbers in values(events).items():
        assert numbers == values(clean)[channel] * 2
    assert decoder.spoilt == 1


@pytest.mark.parametrize("name", TALKERS)
@settings(max_examples=40, deadline=None)
@given(pieces=st.lists(st.binary(max_size=40), max_size=8))
def test_noise_gives_no_reading_and_no_crash(name, pieces):
    events, decoder = decoded(TALKERS[name], pieces)
    # Two short numbers and a comma may come out of noise where no checksum stands; a float can not.
    assert not values(events) or name not in PROTECTED
    assert decoder.frames == 0 or name not in PROTECTED


@settings(max_examples=150, deadline=None)
@given(pieces=st.lists(st.text("$SAT,1.*0\r\n", max_size=12).map(str.encode), max_size=12))
def test_noise_of_the_frames_own_letters_gives_no_reading_of_a_sentence(pieces):
    events, _ = decoded(BENCH, pieces)
    for numbers in values(events).values():
        # what passes the checksum by chance has had the whole form of a sentence too
        assert len(numbers) <= b"".join(pieces).count(b"*")


@pytest.mark.parametrize("name", TALKERS)
def test_a_frame_that_never_ends_does_not_fill_the_memory(name):
    decoder = make_decoder(TALKERS[name])
    for _ in range(300):
        decoder.feed(b"\xa5\x5a7" * 700, 1.0)
    assert len(decoder._framer.rest()) < 66_000
    assert decoder.frames == 0


@pytest.mark.parametrize("name", TALKERS)
def test_a_stream_that_is_joined_midway_loses_the_torn_frame_silently(name):
    profile = TALKERS[name]
    frame = good_frames(profile)[0]
    events, decoder = decoded(profile, [frame[4:] + frame + frame], joined_midway=True)
    clean, _ = decoded(profile, [frame, frame])
    same(values(events), values(clean))
    assert decoder.spoilt == 0


def test_a_torn_line_that_looks_whole_is_not_taken_for_one():
    events, _ = decoded(TALKERS["delimited-text"], [b"1.84,101.3\n21.84,101.3\n"], joined_midway=True)
    assert values(events)["temperature"] == [pytest.approx(294.99)]


def test_a_quiet_beginning_keeps_the_first_line():
    decoder = make_decoder(TALKERS["delimited-text"], joined_midway=True)
    decoder.began_quietly()
    assert len(decoder.feed(b"21.84,101.3\n", 1.0)) == 2


def test_refused_frames_are_told_once_a_second_with_count_and_bytes():
    decoder = make_decoder(TALKERS["delimited-text"], device="board")
    told = [decoder.feed(b"what\n", 10 + n / 10) for n in range(15)]
    notices = [event for events in told for event in events]
    assert [notice.count for notice in notices] == [1, 10]
    assert notices[0].text == (
        "1 unreadable frame from board, last b'what': not 2 columns divided by ',', numbers in 1, 2; "
        "check cable and profile"
    )
    (last,) = decoder.close(11.5)
    assert last.count == 4


def test_mostly_unreadable_lines_point_to_the_baud_rate():
    decoder = make_decoder(TALKERS["delimited-text"])
    decoder.feed(b"\x80\xfe\n" * 25, 1.0)
    (notice,) = decoder.feed(b"\x80\n", 3.0) or decoder.close(3.0)
    assert "check" in notice.text
    texts = [event.text for event in make_decoder(TALKERS["delimited-text"]).feed(b"\x80\xfe\n" * 25, 1.0)]
    assert any("check the baud rate (115200)" in text for text in texts)


@pytest.mark.parametrize("token", ["9.91E37", "-9.9e37", "1e400", "nan"])
def test_a_number_that_means_none_is_kept_as_none_and_marked(token):
    events, _ = decoded(TALKERS["delimited-text"], [f"{token},101.3\n".encode()])
    (temperature,) = [event for event in events if event.channel == "temperature"]
    assert math.isnan(temperature.value[0])
    assert temperature.quality[0] == Quality.NOT_A_NUMBER


@pytest.mark.parametrize("token", ["1_000.5", "infinity", "２１.５", "0x10", "1e4000", "--5", "1.2.3", "", "+"])
def test_what_python_would_take_for_a_number_and_a_device_would_not_send_is_refused(token):
    events, decoder = decoded(TALKERS["delimited-text"], [f"{token},101.3\n".encode()])
    assert values(events) == {}
    assert decoder.spoilt == 1


def test_a_value_outside_the_plausible_range_is_kept_and_marked():
    events, _ = decoded(TALKERS["delimited-text"], [b"21.84,999\n"])
    pressure = next(event for event in events if isinstance(event, Readings) and event.channel == "pressure")
    assert pressure.value[0] == 999e3
    assert pressure.quality[0] == Quality.OUT_OF_RANGE


def line(milliseconds, temperature=21.5):
    body = f"SAT,{milliseconds},{temperature:.3f},101.325".encode()
    return b"$%s*%02X\r\n" % (body, xor8(body))


def test_times_follow_the_devices_clock_through_its_wrap():
    first = 2**32 - 500
    decoder = make_decoder(BENCH)
    times = []
    for n in range(20):
        for event in decoder.feed(line((first + 100 * n) % 2**32), 1000 + n / 10):
            if isinstance(event, Readings) and event.channel == "temperature":
                times.extend(event.time)
    np.testing.assert_allclose(np.diff(times), 0.1, atol=1e-9)


def test_a_device_that_begins_anew_is_told_and_time_goes_on():
    decoder = make_decoder(BENCH, device="bench")
    events = []
    for n in range(20):
        events += decoder.feed(line(50_000 + 100 * n), 100 + n / 10)
    for n in range(20):
        events += decoder.feed(line(100 * n), 105 + n / 10)
    notices = [event for event in events if isinstance(event, DeviceNotice)]
    assert [notice.kind for notice in notices] == ["restarted"]
    blocks = [event for event in events if isinstance(event, Readings) and event.channel == "temperature"]
    assert np.all(np.diff(np.concatenate([block.time for block in blocks])) >= 0)
    assert blocks[20].quality[0] == Quality.AFTER_GAP
    assert blocks[20].time[0] == pytest.approx(105.0, abs=1e-6)


def test_an_opening_line_in_the_middle_is_a_restart_and_at_the_start_is_none():
    banner = b"# simulated bench, firmware 1\r\n"
    events, _ = decoded(BENCH, [banner + line(0) + line(100) + banner + line(0)])
    kinds = [event.kind for event in events if isinstance(event, DeviceNotice)]
    assert kinds == ["restarted"]
    assert len(values(events)["temperature"]) == 3


def test_lines_that_went_missing_are_counted_by_the_devices_clock():
    decoder = make_decoder(BENCH, device="bench")
    decoder.feed(line(0), 100.0)
    events = decoder.feed(line(1000), 101.0)
    notice = next(event for event in events if isinstance(event, DeviceNotice))
    assert (notice.kind, notice.count) == ("gap", 9)
    assert notice.text.startswith("9 readings of bench are missing by its clock; expected none;")
    assert next(event for event in events if isinstance(event, Readings)).quality[0] == Quality.AFTER_GAP


def test_lines_that_arrived_spoilt_are_not_missing_as_well():
    decoder = make_decoder(BENCH, device="bench")
    decoder.feed(line(0), 100.0)
    events = [event for n in range(1, 8) for event in decoder.feed(line(100 * n).replace(b"101", b"102"), 100 + n / 10)]
    events += decoder.feed(line(800), 100.8) + decoder.close(101.0)
    notices = [event for event in events if isinstance(event, DeviceNotice)]
    assert {notice.kind for notice in notices} == {"rejected"}
    assert sum(notice.count for notice in notices) == 7


def test_a_damaged_count_without_checksum_is_dropped_and_is_no_restart():
    profile = TALKERS["json-lines"]
    lines = [b'{"ms": %d, "T": 20.0, "p": 100.0}\n' % ms for ms in (1000, 1100, 91200, 1300, 1400)]
    decoder = make_decoder(profile)
    events = [event for n, one in enumerate(lines) for event in decoder.feed(one, 10 + n / 10)]
    events += decoder.close(11.0)
    assert [event.kind for event in events if isinstance(event, DeviceNotice)] == ["rejected"]
    assert len(values(events)["temperature"]) == 4
    assert decoder.spoilt == 1


def test_a_gauge_sensor_counts_from_the_barometer_of_its_own_line(tmp_path):
    path = tmp_path / "gauge.toml"
    path.write_text(
        'name = "gauge"\ntitle = "gauge"\n[decoding]\nkind = "delimited"\n'
        '[[channel]]\nchannel = "pressure"\nfield = 1\nunit = "kPa"\ngauge = true\nbarometer = "channel"\n'
        '[[channel]]\nchannel = "barometer"\nfield = 2\nunit = "hPa"\n'
    )
    events, _ = decoded(load_profile(path), [b"20.0,980.0\n"])
    assert values(events)["pressure"] == [pytest.approx(118e3)]
