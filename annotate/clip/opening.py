"""Opening a clip, and saying in a sentence why one cannot be opened."""

from __future__ import annotations

from collections.abc import Iterator
from contextlib import ExitStack, contextmanager
from fractions import Fraction
from pathlib import Path
from typing import Any

import av
from av.container import InputContainer
from av.video.stream import VideoStream

from annotate.clip.boxes import lacks_header
from annotate.clip.byte_ranges import RangedFile
from annotate.clip.dicom import EncapsulatedVideo, encapsulated_video
from annotate.clock import shown
from annotate.closing import Closing
from annotate.errors import UserFacingError

av.logging.set_level(None)  # the codecs' own remarks never reach a terminal

_FORMATS = (
    "mov,mp4,matroska,webm,avi,mpegts,mpeg,mpegvideo,asf,mxf,ogg,flv,h264,hevc,m4v,dv,ivf,obu,"
    "nut,wtv,dxv,vc1,gxf"
)
"""Kinds of file that hold one video; play lists, which name other files, are left out."""

_OPTIONS = {"format_whitelist": _FORMATS, "protocol_whitelist": "file"}
_NO_PROTOCOL = "none"
"""For a stream inside another file: nothing in it leads to a file of its own."""

_INSIDE_BUFFER_BYTES = 256 << 10
_BARE = {"h264", "hevc", "m4v", "mpegvideo", "vc1"}
"""Kinds of file without times: the rate is in the stream, or nowhere."""

_ANOTHER = "Choose the video file that the recorder wrote."
_COPY_AGAIN = "Copy it from the recorder again."


class OpenedClip(Closing):
    """An open file and its one video stream; close it, or use it in a `with`.

    Attributes
    ----------
    container : InputContainer
    stream : VideoStream
        The first video stream that is no cover picture.
    inside : EncapsulatedVideo, optional
        Where the video lies in its file, if that is a DICOM file.
    """

    def __init__(
        self,
        path: Path,
        container: InputContainer,
        stream: VideoStream,
        inside: EncapsulatedVideo | None = None,
        source: RangedFile | None = None,
    ) -> None:
        self.path = path
        self.container = container
        self.stream = stream
        self.inside = inside
        self._source = source

    @property
    def is_cut(self) -> bool:
        """Whether the file around the video ends before it does."""
        return self.inside is not None and self.inside.is_cut

    @property
    def stated_aspect(self) -> Fraction | None:
        """Pixel aspect that the file around the video states."""
        return self.inside.sample_aspect if self.inside is not None else None

    def close(self) -> None:
        """Let go of the file.

        The codec's own threads may still hold packets, and a packet's mark is a Python object:
        freeing the codec keeps the interpreter's lock, which they would wait for, and it for them.
        Flushing gives the lock away, and leaves the threads idle.
        """
        context = self.stream.codec_context
        if context is not None and context.is_open:
            context.flush_buffers()
        self.container.close()
        if self._source is not None:
            self._source.close()


@contextmanager
def reading_errors(path: Path) -> Iterator[None]:
    """Turn the system's trouble with a file into a sentence.

    Raises
    ------
    UserFacingError
        If it is not there, is a folder, may not be read, or the disk fails.
    """
    name = shown(path.name, 80)
    try:
        yield
    except FileNotFoundError as error:
        raise UserFacingError(
            f"{name} is not there.", "Check the name, or find where the file is now."
        ) from error
    except IsADirectoryError as error:
        raise UserFacingError(f"{name} is a folder, not a video file.", _ANOTHER) from error
    except PermissionError as error:
        raise UserFacingError(
            f"{name} may not be read.", "Change its permissions, or copy it to a folder of yours."
        ) from error
    except OSError as error:
        raise UserFacingError(
            f"{name} cannot be read: {error.strerror or 'the disk does not answer'}.", _COPY_AGAIN
        ) from error


def open_clip(path: Path | str) -> OpenedClip:
    """Open a clip at its first picture.

    Raises
    ------
    UserFacingError
        If the file is missing, empty, no video, lacks its header or uses an unknown encoding.
    """
    path = Path(path)
    inside = _checked(path)
    stated = inside.rate if inside is not None else None
    clip = _opened(path, inside, stated)
    rate = clip.stream.codec_context.framerate
    if clip.container.format.name in _BARE and rate and rate != clip.stream.average_rate:
        clip.close()  # the stream knows its rate, and only a new beginning has it used
        clip = _opened(path, inside, Fraction(rate))
    return clip


def check_clip(path: Path | str) -> None:
    """Open a clip and decode one picture of it, or say what is wrong.

    Raises
    ------
    UserFacingError
        As `open_clip`, or if not one picture can be decoded.
    """
    with open_clip(path) as clip:
        first_picture(clip)


def first_picture(clip: OpenedClip) -> av.VideoFrame:
    """Decode the first picture that comes out.

    Raises
    ------
    UserFacingError
        If none does.
    """
    context = clip.stream.codec_context
    try:
        for packet in clip.container.demux(clip.stream):
            try:
                frames = context.decode(packet if packet.size else None)
            except av.FFmpegError:
                continue
            if frames:
                return frames[0]
    except (av.FFmpegError, IndexError):
        pass  # the file breaks off here, or a stream began in mid-file, which PyAV 18 trips over
    raise UserFacingError(f"{_name(clip.path)} holds no picture that can be shown.", _COPY_AGAIN)


def _checked(path: Path) -> EncapsulatedVideo | None:
    """Look at a file from outside: whether there is one, and where its video is in it."""
    with reading_errors(path):
        if path.is_dir():
            raise IsADirectoryError
        with path.open("rb") as file:
            if not file.read(1):
                raise UserFacingError(f"{_name(path)} is empty.", _COPY_AGAIN)
        return encapsulated_video(path)


def _opened(path: Path, inside: EncapsulatedVideo | None, rate: Fraction | None) -> OpenedClip:
    options = _OPTIONS if rate is None else {**_OPTIONS, "framerate": str(rate)}
    with ExitStack() as open_things:
        if inside is None:
            source, container = None, _open_container(path, options)
        else:
            with reading_errors(path):
                source = open_things.enter_context(RangedFile(path, inside.ranges))
            container = _open_inside(path, source, inside, options)
        open_things.callback(container.close)
        clip = OpenedClip(path, container, _video_stream(path, container), inside, source)
        open_things.pop_all()  # they are the clip's from now on
    return clip


def _open_container(path: Path, options: dict[str, str]) -> InputContainer:
    try:
        # The prefix keeps a colon in a name from being taken for a protocol.
        return av.open(f"file:{path}", options=dict(options))
    except (av.FFmpegError, ValueError) as error:
        if lacks_header(path):
            raise UserFacingError(
                f"{_name(path)} breaks off before its header: its recording was never finished, or "
                "it is still being copied.",
                "Wait until it is whole, or copy it from the recorder again.",
            ) from error
        raise UserFacingError(
            f"{_name(path)} is not a video that can be read.", _ANOTHER
        ) from error


def _open_inside(
    path: Path, source: RangedFile, inside: EncapsulatedVideo, options: dict[str, str]
) -> InputContainer:
    options = {**options, "protocol_whitelist": _NO_PROTOCOL}
    try:
        return av.open(source, "r", options=options, buffer_size=_INSIDE_BUFFER_BYTES)
    except (av.FFmpegError, ValueError) as error:
        if inside.is_cut:
            how = "breaks off before its video can be read"
        else:
            how = "is a DICOM file, and the video in it cannot be read"
        raise UserFacingError(f"{_name(path)} {how}.", _COPY_AGAIN) from error


def _video_stream(path: Path, container: InputContainer) -> VideoStream:
    streams: list[Any] = [s for s in container.streams if s.type == "video"]
    moving = [s for s in streams if not _is_cover(s)]
    if not moving:
        raise UserFacingError(f"{_name(path)} holds no video.", _ANOTHER)
    for stream in moving:
        if isinstance(stream, VideoStream) and stream.codec_context is not None:
            return stream
    raise UserFacingError(
        f"{_name(path)} is encoded in a way that is not known here.",
        "Export it from the recorder as MP4 with H.264.",
    )


def _is_cover(stream: Any) -> bool:
    return bool(stream.disposition & av.stream.Disposition.attached_pic)


def _name(path: Path) -> str:
    return shown(path.name, 80)
