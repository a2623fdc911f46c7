package traceio

import (
	"bytes"
	"compress/gzip"
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

// unpack returns what is inside a packed file, with the file's name without the
// end that says so; and any other file as it is.
func unpack(name string, data []byte) (bare string, inside []byte, packing string, err error) {
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

// drain unpacks up to the limits: it counts first, so that a bomb takes no
// memory, and what is kept takes its own size.
func drain(name, packing string, data []byte, open func(io.Reader) (io.Reader, func(), error)) ([]byte, error) {
	damaged := func(err error) error {
		what := "the file is packed with " + packing + " and damaged"
		if errors.Is(err, io.ErrUnexpectedEOF) {
			what = "the file is packed with " + packing + " and was cut off"
		}
		return problem.New(problem.Unreadable, name, "%s", what).
			Hint("pack or copy it again, and compare the sizes").In("nothing was read from " + name)
	}
	most := min(MostBytes, max(freeUpTo, mostTimes*int64(len(data))))
	n, err := unpacked(io.Discard, data, open, most+1)
	if n > most {
		limit := "2 GiB"
		if most < MostBytes {
			limit = "200 times its packed size"
		}
		return nil, problem.New(problem.Unreadable, name, "more than %s comes out of the file, which is packed with %s: that is our own limit", limit, packing).
			Hint("if it is a trace all the same, unpack it first: then up to 2 GiB are read").In("nothing was read from " + name)
	}
	if err != nil {
		return nil, damaged(err)
	}
	out := bytes.NewBuffer(make([]byte, 0, n))
	if _, err := unpacked(onlyWriter{out}, data, open, n); err != nil {
		return nil, damaged(err)
	}
	return out.Bytes(), nil
}

// onlyWriter keeps io.Copy from growing a buffer that is large enough.
type onlyWriter struct{ io.Writer }

// unpacked writes what is inside, up to most bytes, and returns how many there
// were. Counting before keeping costs the time once more, and takes no memory
// for what will be refused.
func unpacked(to io.Writer, data []byte, open func(io.Reader) (io.Reader, func(), error), most int64) (int64, error) {
	r, end, err := open(bytes.NewReader(data))
	if err != nil {
		return 0, err
	}
	defer end()
	return io.Copy(to, io.LimitReader(r, most))
}
