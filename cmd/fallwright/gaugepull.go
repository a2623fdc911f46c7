package main

import (
	"context"
	"os"
	"path/filepath"
	"strings"

	"github.com/spf13/cobra"

	"fallwright.example/campaign"
	"fallwright.example/figure"
	"fallwright.example/num/quantity"
	"fallwright.example/problem"
	"fallwright.example/study"
	"fallwright.example/uptake"
)

// handFlags are those that gaugings and pulls share.
type handFlags struct {
	bookFlags
	wet                       bool
	state, at, note, replaces string
}

func (m *handFlags) register(cmd *cobra.Command, what string) {
	m.bookFlags.register(cmd, true, true)
	s := cmd.Flags()
	s.BoolVar(&m.wet, "wet", false, "the rope was wet")
	s.StringVar(&m.state, "state", "", "the `STATE` in words of your own: soaked 15 min")
	s.StringVar(&m.at, "at", "", "`TIME` when it was done, such as 2026-05-04T14:26; now when left out")
	s.StringVar(&m.note, "note", "", "a `REMARK`")
	s.StringVar(&m.replaces, "replaces", "", "`ID` of a "+what+" that this one corrects")
}

func (m *handFlags) stamp(desk *study.Desk) (campaign.Stamp, error) {
	stamp := campaign.Stamp{At: desk.Clock(), By: m.by}
	if m.at == "" {
		return stamp, nil
	}
	var err error
	stamp.At, err = momentOf("--at", m.at)
	return stamp, err
}

// flagAmount is a flag with a quantity, and where it goes.
type flagAmount struct {
	flag, text string
	of         quantity.Dimension
	to         *float64
	some       bool // zero is no amount of it
}

func readAmounts(all ...flagAmount) error {
	for _, a := range all {
		if a.text == "" {
			continue
		}
		v, err := quantityOf("--"+a.flag, a.text, a.of)
		if err != nil {
			return err
		}
		if v == 0 && a.some {
			return problem.New(problem.Invalid, "--"+a.flag, "it is %s, which is none", a.text).Hint("leave --%s out where it is not known", a.flag)
		}
		*a.to = v
	}
	return nil
}

func gaugeCommand() *cobra.Command {
	var m handFlags
	var levels []string
	var load, contact, length, sheath string
	cmd := &cobra.Command{
		Use:   "gauge SPECIMEN",
		Short: "Record a specimen's diameter, length or the shift of its sheath",
		Long: `Gauge records what a gauge and a tape show of a specimen under load. By EN 892, 5.3,
a single rope hangs with 10 kg for a minute, and its diameter is taken in two
directions at right angles at three levels some 100 mm apart, with a gauge of 50 mm
contact length that does not press the rope.`,
		Example: `  fallwright book gauge M-07 --level "9.61mm 9.70mm" --level "9.58mm 9.66mm" --level "9.63mm 9.69mm" --load 10kg --contact 50mm
  fallwright book gauge M-07 --wet --state "soaked 15 min" --length 1009mm --sheath 3mm`,
		Args: cobra.ExactArgs(1),
		RunE: doing(func(cmd *cobra.Command, args []string) error {
			return withDesk(cmd, &m.bookFlags, func(ctx context.Context, desk *study.Desk) (err error) {
				g := campaign.Gauging{Specimen: args[0], Wet: m.wet, State: m.state, Note: m.note, Replaces: m.replaces}
				if g.Stamp, err = m.stamp(desk); err != nil {
					return err
				}
				var shift float64
				if err = readAmounts(flagAmount{"load", load, quantity.Mass, &g.Load, true}, flagAmount{"contact", contact, quantity.Length, &g.Contact, true},
					flagAmount{"length", length, quantity.Length, &g.Length, true}, flagAmount{"sheath", sheath, quantity.Length, &shift, false}); err != nil {
					return err
				}
				if sheath != "" {
					g.Sheath = &shift
				}
				if g.Levels, err = readLevels(levels); err != nil {
					return err
				}
				if err := desk.Gauge(ctx, m.study, g); err != nil {
					return err
				}
				said := "stored a gauging of " + g.Specimen
				if shown, err := uptake.Gauge(uptake.Diameters{Specimen: g.Specimen, Load: g.Load, Contact: g.Contact, Levels: g.Levels}); err == nil {
					said += ": " + figure.Fixed(1000*shown.Diameter.Value, 2) + " mm"
				}
				terminal{cmd.OutOrStdout()}.line("%s", said)
				return nil
			})
		}),
	}
	m.register(cmd, "gauging")
	s := cmd.Flags()
	s.StringArrayVar(&levels, "level", nil, "`DIAMETERS` at one level, in two directions: \"9.61mm 9.70mm\"; again for more levels")
	s.StringVar(&load, "load", "", "`MASS` hung on: 10kg")
	s.StringVar(&contact, "contact", "", "`LENGTH` of the gauge's jaws: 50mm")
	s.StringVar(&length, "length", "", "`LENGTH` between the marks under that load: 1003mm")
	s.StringVar(&sheath, "sheath", "", "`LENGTH` that the sheath came past the core at an end: 2mm")
	return cmd
}

// readLevels reads diameters, a level a text; a last unit holds for all of it.
func readLevels(levels []string) (out [][]float64, err error) {
	for _, text := range levels {
		words := strings.Fields(strings.ReplaceAll(text, " mm", "mm"))
		if len(words) == 0 {
			return nil, problem.New(problem.Invalid, "--level", "it is empty").Hint(`write --level "9.61mm 9.70mm"`)
		}
		unit := strings.TrimLeft(words[len(words)-1], "0123456789.,")
		if unit == "" {
			return nil, problem.New(problem.Invalid, "--level", "%q has no unit", text).Hint(`write --level "%smm"`, strings.Join(words, "mm "))
		}
		var level []float64
		for _, word := range words {
			if strings.Trim(word, "0123456789.") == "" {
				word += unit
			}
			v, err := quantityOf("--level", word, quantity.Length)
			if err != nil {
				return nil, err
			}
			level = append(level, v)
		}
		out = append(out, level)
	}
	return out, nil
}

func pullCommand() *cobra.Command {
	var m handFlags
	var device, speed, held, stick, trace string
	cmd := &cobra.Command{
		Use:   "pull SPECIMEN [FORCE]",
		Short: "Record the force that draws a specimen through a device",
		Long: `Pull records the mean force that draws a specimen through a device at a speed,
or with --trace reads it, with its stick-slip, from a trace of the pull, which is
kept to the byte.`,
		Example: `  fallwright book pull M-07 85N --device "tube" --speed 0.2m/s --held 30N
  fallwright book pull M-07 --device "tube" --wet --trace pull-M-07.csv`,
		Args: cobra.RangeArgs(1, 2),
		RunE: doing(func(cmd *cobra.Command, args []string) error {
			return withDesk(cmd, &m.bookFlags, func(ctx context.Context, desk *study.Desk) (err error) {
				p := campaign.Pull{Specimen: args[0], Device: device, Wet: m.wet, State: m.state, Note: m.note, Replaces: m.replaces}
				if p.Stamp, err = m.stamp(desk); err != nil {
					return err
				}
				var slip float64
				if err = readAmounts(flagAmount{"speed", speed, quantity.Speed, &p.Speed, true}, flagAmount{"held", held, quantity.Force, &p.Held, false},
					flagAmount{"stick-slip", stick, quantity.Force, &slip, false}); err != nil {
					return err
				}
				if stick != "" {
					p.StickSlip = &slip
				}
				if len(args) > 1 {
					if p.Mean, err = quantityOf("force", args[1], quantity.Force); err != nil {
						return err
					}
				}
				var data []byte
				if trace != "" {
					if data, err = os.ReadFile(trace); err != nil {
						return problem.New(problem.NotFound, trace, "the trace cannot be read: %v", err).In("the pull was not stored")
					}
				}
				p, _, err = desk.Pull(ctx, m.study, p, filepath.Base(trace), data)
				if err != nil {
					return err
				}
				terminal{cmd.OutOrStdout()}.line("stored a pull of %s through %s: %s N", p.Specimen, p.Device, figure.Fixed(p.Mean, 1))
				return nil
			})
		}),
	}
	m.register(cmd, "pull")
	s := cmd.Flags()
	s.StringVar(&device, "device", "", "`NAME` of the device, the same each time")
	s.StringVar(&speed, "speed", "", "`SPEED` of the rope: 0.2m/s")
	s.StringVar(&held, "held", "", "`FORCE` on the strand behind the device: 30N")
	s.StringVar(&stick, "stick-slip", "", "mean drop of the `FORCE` from a stick to its slip: 12N")
	s.StringVar(&trace, "trace", "", "`FILE` with the trace of the pull, in the place of FORCE and --stick-slip")
	_ = cmd.MarkFlagRequired("device")
	return cmd
}
