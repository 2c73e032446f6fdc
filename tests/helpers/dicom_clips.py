"""DICOM files made by pydicom around a video stream. Every identifier in them is invented."""

from __future__ import annotations

from collections.abc import Mapping
from pathlib import Path
from typing import Any

from pydicom.dataset import Dataset, FileDataset, FileMetaDataset
from pydicom.encaps import encapsulate, generate_fragments, itemize_fragment
from pydicom.uid import MPEG4HP41, MPEG4HP41F, ExplicitVRLittleEndian, generate_uid

PATIENT = "Quillfeather^Ottoline"
PATIENT_ID = "ZZ-INVENTED-4711"
SECRETS = (PATIENT, "Quillfeather", "Ottoline", PATIENT_ID, "19010203", "Nowhere Infirmary")
"""What names the patient in these files, and must be found nowhere else."""

_VIDEO_ENDOSCOPIC = "1.2.840.10008.5.1.4.1.1.77.1.1.1"
_SEQUENCE_END = b"\xfe\xff\xdd\xe0\x00\x00\x00\x00"


def identified(syntax: str, elements: Mapping[str, Any] | None = None) -> FileDataset:
    """A data set that names a patient, without pictures."""
    meta = FileMetaDataset()
    meta.MediaStorageSOPClassUID = _VIDEO_ENDOSCOPIC
    meta.MediaStorageSOPInstanceUID = generate_uid()
    meta.TransferSyntaxUID = syntax
    data = FileDataset("", {}, file_meta=meta, preamble=b"\0" * 128)
    data.SOPClassUID = meta.MediaStorageSOPClassUID
    data.SOPInstanceUID = meta.MediaStorageSOPInstanceUID
    data.PatientName, data.PatientID, data.PatientBirthDate = PATIENT, PATIENT_ID, "19010203"
    data.InstitutionName = "Nowhere Infirmary"
    data.Modality = "ES"
    data.Rows, data.Columns, data.SamplesPerPixel = 192, 256, 3
    data.PhotometricInterpretation = "YBR_PARTIAL_420"
    data.BitsAllocated, data.BitsStored, data.HighBit, data.PixelRepresentation = 8, 8, 7, 0
    inner = Dataset()
    inner.CodeMeaning = PATIENT
    data.AcquisitionContextSequence = [inner]
    for name, value in (elements or {}).items():
        setattr(data, name, value)
    return data


def wrap(
    video: Path | bytes,
    target: Path,
    n_fragments: int = 1,
    syntax: str | None = None,
    **elements: Any,
) -> None:
    """Put a video stream into a DICOM file, in one fragment or several."""
    stream = video if isinstance(video, bytes) else video.read_bytes()
    data = identified(syntax or (MPEG4HP41 if n_fragments == 1 else MPEG4HP41F), elements)
    data.PixelData = encapsulate([stream], fragments_per_frame=n_fragments, has_bot=False)
    data["PixelData"].is_undefined_length = True
    data.save_as(target, enforce_file_format=True)


def wrap_uneven(video: Path | bytes, target: Path, sizes: list[int]) -> None:
    """The same in fragments of the sizes given (even), and the rest in one more."""
    stream, items, start = video if isinstance(video, bytes) else video.read_bytes(), [], 0
    for size in sizes:
        items.append(itemize_fragment(stream[start : start + size]))
        start += size
    rest = stream[start:]
    items.append(itemize_fragment(rest + b"\0" * (len(rest) % 2)))
    data = identified(MPEG4HP41F)
    data.PixelData = b"\xfe\xff\x00\xe0\x00\x00\x00\x00" + b"".join(items) + _SEQUENCE_END
    data["PixelData"].is_undefined_length = True
    data.save_as(target, enforce_file_format=True)


def still(target: Path, n_pictures: int = 1) -> None:
    """Pictures kept one by one, without compression."""
    data = identified(ExplicitVRLittleEndian)
    data.PhotometricInterpretation, data.PlanarConfiguration = "RGB", 0
    data.NumberOfFrames = n_pictures
    data.PixelData = bytes(192 * 256 * 3 * n_pictures)
    data.save_as(target, enforce_file_format=True)


def fragments_of(path: Path) -> list[bytes]:
    """The fragments by pydicom's own reading."""
    from pydicom import dcmread

    data = dcmread(path)
    found = list(generate_fragments(data.PixelData))
    return found[1:]  # the first is the table of offsets
