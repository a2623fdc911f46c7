package traceio

import (
	"bytes"
	"compress/gzip"
	"encoding/binary"
	"errors"
	"io"
	"path"
	"strings"

	"github.com/klauspost/compress/zstd"

	"fallwright.example/problem"
)

// MostBytes is the size of the largest file that is read, packed or not: our own
// limit, so that an answer never takes more memory than a machine has.
const MostBytes int64 = 2 << 30

// Our own limits to what comes out of a packed file: a trace packs to a tenth or
// a hundredth, a bomb to a thousandth or less.
const (
	mostTimes  = 200      // the packed size
	freeUpTo   = 64 << 20 // bytes, whatever the packed size
	mostWindow = 128 << 20
)

// packings are the ways of packing, by their magic numbers and the ends of names
// that go with them [RFC1952, RFC8878].
var packings = []struct {
	name, magic string
	ends        []string
	open        func(io.Reader) (io.Reader, func(), error)
}{
	{"gzip", "\x1f\x8b", []string{".gz", ".gzip"}, openGzip},
	{"zstd", "\x28\xb5\x2f\xfd", []string{".zst", ".zstd"}, openZstd},
}

func openGzip(r io.Reader) (io.Reader, func(), error) {
	z, err := gzip.NewReader(r)
	return z, func() {}, err
}

func openZstd(r io.Reader) (io.Reader, func(), error) {
	z, err := zstd.NewReader(r, zstd.WithDecoderConcurrency(1), zstd.WithDecoderLowmem(true), zstd.WithDecoderMaxWindow(mostWindow))
	if err != nil {
		return nil, nil, err
	}
	return z, z.Close, nil
}

// Unpack returns what is inside a file packed with gzip or zstd, with the file's
// name without the end that says so; and any other file as it is. A damaged file,
// and one that more comes out of than is read, is a *problem.Problem.
func Unpack(name string, data []byte) (bare string, inside []byte, packing string, err error) {
	for _, p := range packings {
		if !bytes.HasPrefix(data, []byte(p.magic)) {
			continue
		}
		bare = name
		for _, end := range p.ends {
			if strings.EqualFold(path.Ext(name), end) {
				bare = name[:len(name)-len(end)]
			}
		}
		inside, err = drain(name, p.name, data, p.open)
		return bare, inside, p.name, err
	}
	return name, data, "", nil
}

// keptTimes is how many times its packed size a file is kept while it is
// unpacked; text packs to a tenth, as a rule.
const keptTimes = 20

// drain unpacks up to the limits, reading once: what is unpacked is kept, unless
// it goes on past what text packs to. Then it is counted first, so that a bomb
// takes no memory.
func drain(name, packing string, data []byte, open func(io.Reader) (io.Reader, func(), error)) ([]byte, error) {
	most := min(MostBytes, max(freeUpTo, mostTimes*int64(len(data))))
	r, end, err := open(bytes.NewReader(data))
	if err != nil {
		return nil, damaged(name, packing, err)
	}
	defer end()
	out, err := keep(r, int64(keptTimes*len(data)), told(packing, data))
	if err == nil {
		return out, nil
	}
	if !errors.Is(err, errLong) {
		return nil, damaged(name, packing, err)
	}
	n := int64(len(out))
	out = nil
	more, err := io.Copy(io.Discard, io.LimitReader(r, most+1-n))
	if n += more; n > most {
		limit := "2 GiB"
		if most < MostBytes {
			limit = "200 times its packed size"
		}
		return nil, problem.New(problem.Unreadable, name, "more than %s comes out of the file, which is packed with %s: that is our own limit", limit, packing).
			Hint("if it is a trace all the same, unpack it first: then up to 2 GiB are read").In("nothing was read from " + name)
	}
	if err != nil {
		return nil, damaged(name, packing, err)
	}
	again, end, err := open(bytes.NewReader(data))
	if err != nil {
		return nil, damaged(name, packing, err)
	}
	defer end()
	if out, err = keep(again, n, n); err != nil {
		return nil, damaged(name, packing, err)
	}
	return out, nil
}

// damaged refuses a packed file that cannot be unpacked.
func damaged(name, packing string, err error) error {
	what := "the file is packed with " + packing + " and damaged"
	if errors.Is(err, io.ErrUnexpectedEOF) {
		what = "the file is packed with " + packing + " and was cut off"
	}
	return problem.New(problem.Unreadable, name, "%s", what).
		Hint("pack or copy it again, and compare the sizes").In("nothing was read from " + name)
}

var errLong = errors.New("more comes out than is kept")

// keep reads to the end, up to most bytes, into room for as many as are told. At
// most it returns what it has with errLong.
func keep(r io.Reader, most, told int64) ([]byte, error) {
	out := make([]byte, 0, min(most, told)+bytes.MinRead)
	for {
		if len(out) == cap(out) {
			out = append(out, 0)[:len(out)]
		}
		n, err := r.Read(out[len(out):cap(out)])
		if out = out[:len(out)+n]; int64(len(out)) > most {
			return out, errLong
		}
		if errors.Is(err, io.EOF) {
			return out, nil
		}
		if err != nil {
			return out, err
		}
	}
}

// told is how many bytes a packed file says that it holds: by gzip's last four
// bytes, of its last member, modulo 2^32 [RFC1952, 2.3.1]; by the header of a
// zstd frame, where it does [RFC8878, 3.1.1.1]. It is a guess at the room.
func told(packing string, data []byte) int64 {
	if packing == "gzip" && len(data) >= 18 {
		return int64(binary.LittleEndian.Uint32(data[len(data)-4:]))
	}
	var h zstd.Header
	if packing == "zstd" && h.Decode(data) == nil && h.HasFCS && h.FrameContentSize < uint64(MostBytes) {
		return int64(h.FrameContentSize)
	}
	return int64(4 * len(data))
}
