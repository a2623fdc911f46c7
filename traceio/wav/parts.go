package wav

import (
	"bytes"
	"encoding/binary"
	"fmt"
	"math"
	"strings"

	"fallwright.example/problem"
	"fallwright.example/trace"
)

// parts is a WAV file taken apart.
type parts struct {
	tag      uint16 // of the samples: whole numbers or floating point
	channels int
	rate     uint32 // Hz
	bytes    int    // that one sample takes
	bits     int    // of them that the head says are used

	data    []byte   // of the data chunk, as far as the file has it
	missing uint64   // bytes of the data chunk that the file does not have
	remarks []remark // what the file says of itself in words
}

// remark is text found in the file.
type remark struct{ where, text string }

const (
	tagPCM        = 1
	tagFloat      = 3
	tagExtensible = 0xFFFE

	// The rest of a sub-format's GUID behind the two bytes of the tag.
	guidTail = "\x00\x00\x00\x00\x10\x00\x80\x00\x00\xaa\x00\x38\x9b\x71"

	// unknown is a length that the writer of a stream left open, and that RF64
	// gives in its ds64 chunk.
	unknown = math.MaxUint32
)

// Tags of packed samples, to name them in a refusal (from memory).
var tagNames = map[uint16]string{
	2: "ADPCM", 6: "A-law", 7: "mu-law", 17: "IMA ADPCM", 0x50: "MPEG", 0x55: "MP3", 0xFF: "AAC",
}

// parts walks the chunks: a name of four letters, a length, that many bytes and
// one more when the length is odd.
//
// Layout: [RIFF1991] and [EBU3285], RF64 [EBU3306].
func (s *source) parts() (*parts, error) {
	if !begins(s.data) {
		return nil, s.refuse(problem.Unreadable, "", "the file does not begin as a WAV file does").
			Hint("give the file that the logger wrote, whole")
	}
	if string(s.data[:4]) == "RIFX" {
		return nil, s.refuse(problem.Unreadable, "", "the file is of the RIFX kind, with the high byte first, which is not read").
			Hint("save it as plain WAV")
	}
	p := &parts{}
	var head []byte
	var long uint64 // length of the data chunk as the ds64 chunk has it
	found := false
	for at := 12; at+8 <= len(s.data); {
		id := string(s.data[at : at+4])
		size := uint64(binary.LittleEndian.Uint32(s.data[at+4:]))
		body := s.data[at+8:]
		if id == "data" {
			if found {
				return nil, s.refuse(problem.Unreadable, fmt.Sprintf(", byte %d", at), "a second data chunk begins there; a WAV file has one").
					Hint("export the recording again")
			}
			size, found = s.dataSize(size, long, len(body)), true
			p.data, p.missing = cut(body, size)
		}
		inner, missing := cut(body, size)
		switch {
		case id == "fmt ":
			head = inner
		case id == "ds64" && len(inner) >= 16:
			long = binary.LittleEndian.Uint64(inner[8:])
		case id == "bext" && missing == 0:
			p.remarks = append(p.remarks, remark{"the bext chunk", words(inner[:min(256, len(inner))])})
		case id == "LIST" && missing == 0:
			p.remarks = append(p.remarks, comments(inner)...)
		}
		if missing > 0 {
			break
		}
		at += 8 + len(inner) + len(inner)%2
	}
	if !found {
		return nil, s.refuse(problem.Unreadable, "", "the file ends before its samples begin").Hint("export the recording again")
	}
	return p, s.head(p, head)
}

// dataSize is the length of the data chunk, where its head leaves it open.
func (s *source) dataSize(size, long uint64, left int) uint64 {
	whole := binary.LittleEndian.Uint32(s.data[4:])
	switch {
	case size == unknown && long > 0:
		return long
	case size == unknown, size == 0 && left > 0 && (whole == 0 || whole == unknown):
		s.note(trace.Doubtful, "the recorder never wrote down how long the recording is: read up to the end of the file; if the end is missing, record again")
		return uint64(left)
	}
	return size
}

// cut takes size bytes of b, and says how many of them b does not have.
func cut(b []byte, size uint64) (inner []byte, missing uint64) {
	if size > uint64(len(b)) {
		return b, size - uint64(len(b))
	}
	return b[:size], 0
}

// head reads the fmt chunk and checks that its samples can be read.
func (s *source) head(p *parts, b []byte) error {
	if len(b) < 16 {
		return s.refuse(problem.Unreadable, "", "the file does not say how its samples are written: its fmt chunk is missing or too short").
			Hint("export the recording again")
	}
	p.tag = binary.LittleEndian.Uint16(b)
	p.channels = int(binary.LittleEndian.Uint16(b[2:]))
	p.rate = binary.LittleEndian.Uint32(b[4:])
	frame := int(binary.LittleEndian.Uint16(b[12:]))
	p.bits = int(binary.LittleEndian.Uint16(b[14:]))
	if p.tag == tagExtensible && len(b) >= 40 && string(b[26:40]) == guidTail {
		p.tag = binary.LittleEndian.Uint16(b[24:])
	}
	if p.tag != tagPCM && p.tag != tagFloat {
		return s.packed(p.tag)
	}
	if p.channels == 0 || p.rate == 0 || frame == 0 || frame%p.channels != 0 {
		return s.refuse(problem.Unreadable, "", "the file's head says %d channels of %d bytes in all at %d Hz, which cannot be", p.channels, frame, p.rate).
			Hint("export the recording again")
	}
	p.bytes = frame / p.channels
	whole := p.tag == tagPCM && p.bytes >= 1 && p.bytes <= 4
	float := p.tag == tagFloat && (p.bytes == 4 || p.bytes == 8)
	if !whole && !float || p.bits > 8*p.bytes || p.bits <= 8*(p.bytes-1) && p.bits != 0 && float {
		return s.refuse(problem.Unreadable, "", "samples of %d bits in %d bytes are not read: whole numbers of 8, 16, 24 or 32 bits are, and floating point of 32 or 64", p.bits, p.bytes).
			Hint("save it as WAV with 24 bits or floating point")
	}
	return s.frames(p)
}

// packed refuses samples that are neither whole numbers nor floating point.
func (s *source) packed(tag uint16) error {
	kind := tagNames[tag]
	if kind == "" {
		kind = fmt.Sprintf("kind %d", tag)
	}
	return s.refuse(problem.Unreadable, "", "the samples are packed as sound (%s), which does not keep forces", kind).
		Hint("record as plain WAV: PCM of 16, 24 or 32 bits, or floating point")
}

// frames settles how many whole frames there are, of one sample a channel each.
func (s *source) frames(p *parts) error {
	frame := p.bytes * p.channels
	n := len(p.data) / frame
	if rest := len(p.data) % frame; p.missing > 0 || rest > 0 {
		if n >= 2 {
			s.note(trace.Doubtful, fmt.Sprintf("the file is cut off: %d of %d frames are there; what came after is lost", n, (uint64(len(p.data))+p.missing)/uint64(frame)))
		}
	}
	if n < 2 {
		return s.refuse(problem.TooFew, "", "the file has %d of 2 frames that a trace has at least", n).
			Hint("export the recording again")
	}
	kind := "whole numbers"
	if p.tag == tagFloat {
		kind = "floating point"
	}
	s.fact("samples", fmt.Sprintf("%d frames of %s, %d bits", n, kind, 8*p.bytes), "the file's head says so", "")
	return nil
}

// comments are the remarks of a LIST chunk of the INFO kind.
func comments(b []byte) []remark {
	if len(b) < 4 || string(b[:4]) != "INFO" {
		return nil
	}
	var out []remark
	for b = b[4:]; len(b) >= 8; {
		inner, missing := cut(b[8:], uint64(binary.LittleEndian.Uint32(b[4:])))
		if string(b[:4]) == "ICMT" && missing == 0 {
			out = append(out, remark{"its comment (ICMT)", words(inner)})
		}
		b = b[min(len(b), 8+len(inner)+len(inner)%2):]
	}
	return out
}

// words is text up to its first NUL.
func words(b []byte) string {
	if i := bytes.IndexByte(b, 0); i >= 0 {
		b = b[:i]
	}
	return strings.ToValidUTF8(string(b), "?")
}
