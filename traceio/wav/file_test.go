package wav_test

import "encoding/binary"

// riff is a WAV file to write.
type riff struct {
	form                      string // "RIFF" when empty
	tag, channels, rate, bits int
	container                 int // bytes of a sample; 0 for as few as the bits need
	extensible                bool
	before, after             []chunk // round the data chunk
	data                      []byte
	dataSize, whole           uint32 // where they are to be something else than the truth
	setSizes                  bool
}

type chunk struct {
	id   string
	body []byte
}

// file writes it.
func file(r riff) []byte {
	le := binary.LittleEndian
	container := r.container
	if container == 0 {
		container = (r.bits + 7) / 8
	}
	tag := r.tag
	if r.extensible {
		tag = 0xFFFE
	}
	head := le.AppendUint16(nil, uint16(tag))
	head = le.AppendUint16(head, uint16(r.channels))
	head = le.AppendUint32(head, uint32(r.rate))
	head = le.AppendUint32(head, uint32(r.rate*container*r.channels))
	head = le.AppendUint16(head, uint16(container*r.channels))
	bits := r.bits
	if r.extensible {
		bits = 8 * container
	}
	head = le.AppendUint16(head, uint16(bits))
	if r.extensible {
		head = le.AppendUint16(head, 22)
		head = le.AppendUint16(head, uint16(r.bits))
		head = le.AppendUint32(head, 0)
		head = le.AppendUint16(head, uint16(r.tag))
		head = append(head, "\x00\x00\x00\x00\x10\x00\x80\x00\x00\xaa\x00\x38\x9b\x71"...)
	}
	form := r.form
	if form == "" {
		form = "RIFF"
	}
	out := append([]byte(form), 0, 0, 0, 0, 'W', 'A', 'V', 'E')
	for _, c := range append(append([]chunk{{"fmt ", head}}, r.before...), chunk{"data", r.data}) {
		out = appendChunk(out, c)
		if c.id == "data" && r.setSizes {
			le.PutUint32(out[len(out)-len(c.body)-len(c.body)%2-4:], r.dataSize)
		}
	}
	for _, c := range r.after {
		out = appendChunk(out, c)
	}
	le.PutUint32(out[4:], uint32(len(out)-8))
	if r.setSizes {
		le.PutUint32(out[4:], r.whole)
	}
	return out
}

func appendChunk(out []byte, c chunk) []byte {
	out = append(out, c.id...)
	out = binary.LittleEndian.AppendUint32(out, uint32(len(c.body)))
	out = append(out, c.body...)
	if len(c.body)%2 == 1 {
		out = append(out, 0)
	}
	return out
}

// info is a LIST chunk with a comment.
func info(comment string) chunk {
	return chunk{"LIST", appendChunk([]byte("INFO"), chunk{"ICMT", []byte(comment + "\x00")})}
}

// bext is a broadcast extension with a description: 602 bytes, of which the
// description is the first 256.
func bext(description string) chunk {
	body := make([]byte, 602)
	copy(body, description)
	return chunk{"bext", body}
}

// ds64 is the chunk of long files: riff size, data size, sample count, table.
func ds64(data uint64) chunk {
	b := binary.LittleEndian.AppendUint64(nil, 0)
	b = binary.LittleEndian.AppendUint64(b, data)
	b = binary.LittleEndian.AppendUint64(b, 0)
	return chunk{"ds64", binary.LittleEndian.AppendUint32(b, 0)}
}
