package sheets

import (
	"image/color"

	"github.com/boombuler/barcode/qr"
)

// quiet is the white around a code, in its modules [ISO18004].
const quiet = 4

// code draws a QR code that holds a text, with its quiet zone in a square.
func (s *paper) code(x, y, side float64, text string) {
	dark, err := modules(text)
	if err != nil {
		s.pdf.SetError(err)
		return
	}
	one := side / float64(len(dark)+2*quiet)
	for row, line := range dark {
		for from := 0; from < len(line); from++ {
			to := from
			for to < len(line) && line[to] {
				to++
			}
			if to > from { // one bar, so that no hairline parts its modules
				s.pdf.Rect(x+one*float64(quiet+from), y+one*float64(quiet+row), one*float64(to-from), one, "F")
				from = to
			}
		}
	}
}

// modules are the dark places of a code, row by row, its level of correction M.
func modules(text string) ([][]bool, error) {
	made, err := qr.Encode(text, qr.M, qr.Auto)
	if err != nil {
		if made, err = qr.Encode(text, qr.M, qr.Unicode); err != nil {
			return nil, err
		}
	}
	size := made.Bounds().Dx()
	out := make([][]bool, size)
	for y := range out {
		out[y] = make([]bool, size)
		for x := range out[y] {
			out[y][x] = made.At(x, y) == color.Black
		}
	}
	return out, nil
}
