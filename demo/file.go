package demo

import _ "embed"

// StudyFile is the invented study's plan, as docs/FORMATS.md describes study
// files.
//
//go:embed skerry-head.toml
var StudyFile []byte

// Deviation is the one that the invented club wrote down.
const Deviation = "M-05 was hung by its other end from fall 1 on: the label had come off in the bath and was put back on the wrong end (invented)."
