package traceio

import "bytes"

// look is one kind of file that is known by its first bytes.
type look struct {
	magic string
	what  string
	cure  string
}

const (
	cureData  = "give the file that the logger wrote, with the numbers in it"
	cureSheet = "open it and save the sheet as CSV"
	curePack  = "unpack it first"
	cureWhole = "export the recording again: there is nothing in it"
)

// The magic numbers are those of each format's own published description, from
// memory; a wrong one costs a less exact sentence, never a wrong reading.
var looks = []look{
	{"\x89PNG\r\n\x1a\n", "a PNG picture", cureData},
	{"\xff\xd8\xff", "a JPEG picture", cureData},
	{"GIF87a", "a GIF picture", cureData},
	{"GIF89a", "a GIF picture", cureData},
	{"II*\x00", "a TIFF picture", cureData},
	{"MM\x00*", "a TIFF picture", cureData},
	{"%PDF-", "a PDF document", cureData},
	{"%!PS", "a PostScript document", cureData},
	{"\x1f\x8b", "a file packed with gzip", curePack},
	{"\x28\xb5\x2f\xfd", "a file packed with zstd", curePack},
	{"BZh91AY&SY", "a file packed with bzip2", curePack},
	{"\xfd7zXZ\x00", "a file packed with xz", curePack},
	{"7z\xbc\xaf\x27\x1c", "a 7z archive", curePack},
	{"\xd0\xcf\x11\xe0\xa1\xb1\x1a\xe1", "a spreadsheet or document of the old binary kind", cureSheet},
	{"\x89HDF\r\n\x1a\n", "an HDF5 file", "export the trace from it as CSV"},
	{"\x50\x4b\x05\x06", "an empty zip archive", cureWhole},
	{"SQLite format 3\x00", "a database", "give the trace files, not the book"},
	{"PAR1\x15", "a Parquet file", "export the trace from it as CSV"},
}

// LooksLike says in words what data is when its bytes show that it is not
// plain text: a picture, a spreadsheet, a packed file, a universal file (UFF),
// an empty file, other binary. It returns "" for what may be text in UTF-8,
// UTF-16 or Latin-1.
func LooksLike(data []byte) string { return lookAt(data).what }

// cureOf says what to do about data that LooksLike names.
func cureOf(data []byte) string { return lookAt(data).cure }

func lookAt(data []byte) look {
	if len(bytes.TrimSpace(data[:min(len(data), 4096)])) == 0 && len(bytes.TrimSpace(data)) == 0 {
		return look{what: "an empty file", cure: cureWhole}
	}
	if _, _, ok := UTF16(data); ok {
		return look{}
	}
	for _, l := range looks {
		if bytes.HasPrefix(data, []byte(l.magic)) {
			return l
		}
	}
	switch {
	case bytes.HasPrefix(data, []byte("PK\x03\x04")):
		return zipped(data)
	case len(data) > 262 && string(data[257:262]) == "ustar":
		return look{what: "a tar archive", cure: curePack}
	case universal(data):
		return look{what: "a universal file (UFF)", cure: "export the trace from it as CSV"}
	case enclosed(data, "{", "}"), enclosed(data, "[", "]"):
		return look{what: "a JSON file", cure: "export the trace from it as CSV"}
	case enclosed(data, "<", ">"):
		return look{what: "a web page or XML file", cure: "export the trace from it as CSV"}
	case bytes.HasPrefix(data, []byte("RIFF")) && bytes.IndexByte(data[:min(len(data), 64)], 0) > 0 && len(data) >= 12:
		if string(data[8:12]) == "WEBP" {
			return look{what: "a WebP picture", cure: cureData}
		}
		return look{what: "a RIFF file (sound or film)", cure: cureData}
	}
	return otherwise(data)
}

// enclosed reports whether the text begins with one sign and ends with another
// on a later line.
func enclosed(data []byte, open, end string) bool {
	data = bytes.TrimSpace(data)
	return bytes.HasPrefix(data, []byte(open)) && bytes.HasSuffix(data, []byte(end)) && bytes.IndexByte(data, '\n') > 0
}

// universal reports whether text begins as a universal file does: "    -1",
// right-aligned in six columns, on its first line that is not blank, and the
// number of a dataset, 15 or 58 say, with blanks before it on the next.
// Source: the layout of universal files, dataset delimiters, from memory.
func universal(data []byte) bool {
	for len(data) > 0 && (data[0] == '\n' || data[0] == '\r') {
		data = data[1:]
	}
	first, rest, found := bytes.Cut(data[:min(len(data), 256)], []byte("\n"))
	second, _, _ := bytes.Cut(rest, []byte("\n"))
	number := bytes.TrimRight(bytes.TrimSpace(second), "b")
	return found && string(bytes.TrimRight(first, " \r")) == "    -1" && bytes.HasPrefix(second, []byte("  ")) &&
		len(number) > 0 && len(number) <= 4 && len(bytes.Trim(number, "0123456789")) == 0
}

// zipped tells a spreadsheet from any other zip by the parts it names.
func zipped(data []byte) look {
	for _, part := range []string{"[Content_Types].xml", "xl/", "opendocument.spreadsheet"} {
		if bytes.Contains(data[:min(len(data), 4096)], []byte(part)) {
			return look{what: "a spreadsheet (a zip of XML)", cure: cureSheet}
		}
	}
	return look{what: "a zip archive", cure: curePack}
}

// A logger leaves NULs in a name that it did not fill: fewNULs of them in a head
// of some lines are let be, and more where each has perNUL bytes of text. Our own
// choice.
const (
	fewNULs = 8
	perNUL  = 200
)

// otherwise tells text from other bytes by the control characters in its head: more
// than a few NULs, more than one other in twenty, or nothing that ends a line
// beside NULs, is no text in UTF-8 or Latin-1.
func otherwise(data []byte) look {
	data = bytes.TrimRight(data, "\x00") // a block of a card that was never filled
	head := data[:min(len(data), 8192)]
	nul, odd := 0, 0
	for _, b := range head {
		switch {
		case b == 0:
			nul++
		case b < ' ' && b != '\t' && b != '\n' && b != '\r' && b != '\f':
			odd++
		}
	}
	many := nul > fewNULs && perNUL*nul > len(head) || 8*nul > len(head)
	if many || nul > 0 && (odd > 0 || !bytes.ContainsAny(head, "\r\n")) || 20*odd > len(head) {
		return look{what: "a binary file of a kind not known here", cure: "export the trace as CSV"}
	}
	return look{}
}
