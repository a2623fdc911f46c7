package main

import (
	"fmt"
	"os"
	"strconv"
	"strings"
)

// writeStates writes states of a rope as "fallwright wall" reads them, into a file
// that is not there yet. Numbers are written so that they are read back to the bit.
func writeStates(path string, states []lawState) error {
	file, err := os.OpenFile(path, os.O_WRONLY|os.O_CREATE|os.O_EXCL, 0o644)
	if err != nil {
		return cannotWrite(path, err)
	}
	_, err = file.WriteString(statesText(states))
	if closed := file.Close(); err == nil {
		err = closed
	}
	if err != nil {
		return cannotWrite(path, err)
	}
	return nil
}

func statesText(states []lawState) string {
	var b strings.Builder
	b.WriteString("# States of a rope by laws fitted to its falls, SI. A fall on the wall goes with\n" +
		"# them, in flags or above: fallwright wall THIS --state NAME --mass 75kg ...\n")
	for _, s := range states {
		k := s.known
		var parameters, rows []string
		for i, n := range k.Names {
			parameters = append(parameters, n+" = "+exact(k.Values[i]))
			var row []string
			for _, v := range k.Covariance[i] {
				row = append(row, exact(v))
			}
			rows = append(rows, "  ["+strings.Join(row, ", ")+"],\n")
		}
		fmt.Fprintf(&b, "\n[[state]] # %s\nname = %s\nlaw = %s\nparameters = { %s }\ncovariance = [\n%s]\nfitted = { strain = %s, rate = %s, force = \"%s N\" }\n",
			s.from, strconv.Quote(s.name), strconv.Quote(k.Law), strings.Join(parameters, ", "), strings.Join(rows, ""),
			exact(k.Fitted.Strain), exact(k.Fitted.Rate), strconv.FormatFloat(k.Fitted.Force, 'f', -1, 64))
	}
	return b.String()
}

// exact writes a number that TOML takes as no whole one.
func exact(v float64) string {
	text := strconv.FormatFloat(v, 'g', -1, 64)
	if !strings.ContainsAny(text, ".e") {
		text += ".0"
	}
	return text
}
