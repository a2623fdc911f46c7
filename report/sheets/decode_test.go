package sheets

import (
	"errors"
	"testing"
)

// decoded reads a QR code without its error correction: finder patterns, the mask
// from the format bits, modules in their zigzag, one block of byte or
// alphanumeric data. It follows ISO/IEC 18004:2015, 7.3 to 7.10, from memory; it
// shares nothing with the package that makes codes. Versions 1 to 3 at level M have
// one block, which is all that it reads.
func decoded(dark [][]bool) (string, error) {
	size := len(dark)
	version := (size - 17) / 4
	if version < 1 || version > 3 || size != 17+4*version {
		return "", errors.New("a size that is not read here")
	}
	for _, corner := range [][2]int{{0, 0}, {0, size - 7}, {size - 7, 0}} {
		for i := range 7 {
			for j := range 7 {
				ring := max(abs(i-3), abs(j-3))
				if dark[corner[0]+i][corner[1]+j] != (ring != 2) {
					return "", errors.New("no finder pattern")
				}
			}
		}
	}
	format := 0
	for _, x := range []int{0, 1, 2, 3, 4} { // the bits that say level and mask, first copy
		format = format<<1 | bit(dark[8][x])
	}
	format ^= 0b10101
	if format>>3 != 0b00 {
		return "", errors.New("not of level M")
	}
	var bits []int
	for _, at := range zigzag(size, version) {
		bits = append(bits, bit(dark[at[0]][at[1]] != masked(format&7, at[0], at[1])))
	}
	return segments(bits)
}

func abs(x int) int { return max(x, -x) }

func bit(b bool) int {
	if b {
		return 1
	}
	return 0
}

func masked(mask, i, j int) bool {
	return []bool{
		(i+j)%2 == 0, i%2 == 0, j%3 == 0, (i+j)%3 == 0, (i/2+j/3)%2 == 0,
		(i*j)%2+(i*j)%3 == 0, ((i*j)%2+(i*j)%3)%2 == 0, ((i+j)%2+(i*j)%3)%2 == 0,
	}[mask]
}

// zigzag are the places of data, row and column, in their order.
func zigzag(size, version int) (out [][2]int) {
	held := func(i, j int) bool {
		if i == 6 || j == 6 || i < 9 && j < 9 || i < 9 && j >= size-8 || i >= size-8 && j < 9 {
			return true
		}
		align := size - 7 // of its middle
		return version > 1 && abs(i-align) <= 2 && abs(j-align) <= 2
	}
	up := true
	for right := size - 1; right > 0; right -= 2 {
		if right == 6 {
			right--
		}
		for k := range size {
			i := k
			if up {
				i = size - 1 - k
			}
			for _, j := range []int{right, right - 1} {
				if !held(i, j) {
					out = append(out, [2]int{i, j})
				}
			}
		}
		up = !up
	}
	return out
}

func segments(bits []int) (string, error) {
	take := func(n int) (v int) {
		for range n {
			v, bits = v<<1|bits[0], bits[1:]
		}
		return v
	}
	const alphanumeric = "0123456789ABCDEFGHIJKLMNOPQRSTUVWXYZ $%*+-./:"
	out := ""
	switch mode := take(4); mode {
	case 0b0100:
		for range take(8) {
			out += string([]byte{byte(take(8))})
		}
	case 0b0010:
		n := take(9)
		for ; n > 1; n -= 2 {
			v := take(11)
			out += string(alphanumeric[v/45]) + string(alphanumeric[v%45])
		}
		if n == 1 {
			out += string(alphanumeric[take(6)])
		}
	case 0b0001:
		n := take(10)
		for ; n > 0; n -= 3 {
			digits := min(n, 3)
			out += padded(take([]int{0, 4, 7, 10}[digits]), digits)
		}
	default:
		return "", errors.New("a mode that is not read here")
	}
	return out, nil
}

func padded(v, digits int) string {
	out := ""
	for range digits {
		out, v = string(rune('0'+v%10))+out, v/10
	}
	return out
}

// A code says its label, whatever kind of characters it has.
func TestCodeHoldsTheLabel(t *testing.T) {
	read := 0
	for _, label := range []string{"M-01", "0417", "7", "31", "M-107 b", "a rope, end two", "SAMPHIRE 9.6 TREATED/12", "Küste 3"} {
		dark, err := modules(label)
		if err != nil {
			t.Fatalf("%s: %v", label, err)
		}
		if got, err := decoded(dark); err != nil || got != label {
			t.Errorf("%s reads %q, %v", label, got, err)
		}
		read++
		dark[len(dark)-1][len(dark)-1] = !dark[len(dark)-1][len(dark)-1] // in the mode
		if got, err := decoded(dark); err == nil && got == label {
			t.Errorf("%s is read whatever its modules are", label)
		}
	}
	if read < 8 {
		t.Errorf("%d codes read", read)
	}
	if _, err := modules(string(make([]byte, 5000))); err == nil {
		t.Error("a code holds 5000 bytes")
	}
}
