package main

import (
	"context"
	"fmt"
	"io"
	"math"
	"strings"
	"text/tabwriter"
	"time"

	"github.com/spf13/cobra"

	"fallwright.example/figure"
	"fallwright.example/num/quantity"
	"fallwright.example/study"
	"fallwright.example/trace"
)

func seriesCommand() *cobra.Command {
	var b bookFlags
	var specimen string
	var asJSON bool
	cmd := &cobra.Command{
		Use:     "series",
		Short:   "Follow one specimen from fall to fall",
		Example: `  fallwright book series --specimen M-07 --book club.book`,
		Args:    noArgs,
		RunE: doing(func(cmd *cobra.Command, _ []string) error {
			return withDesk(cmd, &b, func(ctx context.Context, desk *study.Desk) error {
				s, err := desk.Series(ctx, b.study, specimen)
				if err != nil {
					return err
				}
				if asJSON {
					return printJSON(cmd, seriesJSON(s))
				}
				printSeries(cmd.OutOrStdout(), s)
				return nil
			})
		}),
	}
	b.register(cmd, true, false)
	cmd.Flags().StringVar(&specimen, "specimen", "", "`LABEL` of the specimen")
	cmd.Flags().BoolVar(&asJSON, "json", false, "print JSON, values in SI")
	_ = cmd.MarkFlagRequired("specimen")
	return cmd
}

// seriesOut is the JSON of series. docs/FORMATS.md describes it.
type seriesOut struct {
	Study      string        `json:"study"`
	Invented   bool          `json:"invented"`
	Specimen   string        `json:"specimen"`
	Condition  string        `json:"condition"`
	Lot        string        `json:"lot"`
	Falls      []fallOut     `json:"falls"`
	Trends     []trendOut    `json:"trends"`
	Recoveries []recoveryOut `json:"recoveries"`
}

type fallOut struct {
	Fall   int                    `json:"fall"`
	At     time.Time              `json:"at"`
	Rest   float64                `json:"rest_s"` // since the fall before; 0 for the first
	Long   bool                   `json:"long_rest"`
	Void   *string                `json:"void"` // why, or null
	Values map[string]trace.Value `json:"values"`
	Change map[string]trace.Value `json:"changes"` // against the fall before that has the value
}

type trendOut struct {
	Value  string      `json:"value"`
	From   int         `json:"from_fall"`
	To     int         `json:"to_fall"`
	Points int         `json:"falls"`
	Slope  trace.Value `json:"slope_per_fall"`
	SE     trace.Value `json:"se"`
}

type recoveryOut struct {
	Value    string      `json:"value"`
	Fall     int         `json:"fall"`
	Change   trace.Value `json:"change"`
	Points   int         `json:"falls_before"`
	Expected trace.Value `json:"expected"`
	SE       trace.Value `json:"se"`
}

// seriesKey names a value with its unit, as other JSON does: peak_force_N.
func seriesKey(v study.SeriesValue) string {
	key := strings.ReplaceAll(v.Name, " ", "_")
	if v.Unit != "" {
		key += "_" + strings.ReplaceAll(v.Unit, "/", "p")
	}
	return key
}

func seriesJSON(s *study.Series) seriesOut {
	values := study.SeriesValues()
	out := seriesOut{
		Study: s.Study.Plan.Name, Invented: s.Study.Plan.Invented,
		Specimen: s.Specimen.Label, Condition: s.Specimen.Condition, Lot: s.Specimen.Lot,
		Falls: []fallOut{}, Trends: []trendOut{}, Recoveries: []recoveryOut{},
	}
	for _, f := range s.Falls {
		d := f.Row.Drop
		one := fallOut{Fall: d.Fall, At: d.At, Rest: f.Row.Rest.Seconds(), Long: f.Long, Values: map[string]trace.Value{}, Change: map[string]trace.Value{}}
		if d.Void != nil {
			one.Void = &d.Void.Reason
		}
		for i, v := range values {
			one.Values[seriesKey(v)], one.Change[seriesKey(v)] = f.Values[i], f.Change[i]
		}
		out.Falls = append(out.Falls, one)
	}
	for _, t := range s.Trends {
		out.Trends = append(out.Trends, trendOut{seriesKey(values[t.Value]), t.From, t.To, t.Points, trace.Value(t.Slope), trace.Value(t.SE)})
	}
	for _, r := range s.Recoveries {
		out.Recoveries = append(out.Recoveries, recoveryOut{
			seriesKey(values[r.Value]), r.Fall, trace.Value(r.Change), r.Points, trace.Value(r.Expected), trace.Value(r.SE),
		})
	}
	return out
}

// seriesUnit is how a value of a series is shown: in which unit, how many of SI
// that is, and with how many decimals.
func seriesUnit(v study.SeriesValue) (name string, per float64, decimals int) {
	switch v.Unit {
	case "N", "N/m":
		return "k" + v.Unit, 1e3, 2
	case "":
		return "", 1, 3
	}
	return v.Unit, 1, 3
}

// printSeries is a table of the falls, and what changed over them in words.
func printSeries(w io.Writer, s *study.Series) {
	fmt.Fprintf(w, "%s, %s, %s\n", s.Specimen.Label, s.Specimen.Condition, s.Specimen.Lot)
	if s.Study.Plan.Invented {
		fmt.Fprintln(w, "INVENTED: a demonstration, no rope was tested")
	}
	if len(s.Falls) == 0 {
		fmt.Fprintln(w, "\nit has had no fall yet")
		return
	}
	fmt.Fprintln(w)
	t := tabwriter.NewWriter(w, 0, 0, 2, ' ', 0)
	fmt.Fprint(t, "fall\trest")
	for _, v := range study.SeriesValues() {
		unit, _, _ := seriesUnit(v)
		fmt.Fprintf(t, "\t%s", strings.TrimSuffix(v.Name+", "+unit, ", "))
	}
	fmt.Fprintln(t)
	for i, f := range s.Falls {
		rest := "–"
		if i > 0 {
			rest = quantity.Format(f.Row.Rest.Seconds(), quantity.Time)
		}
		if f.Long {
			rest += ", long"
		}
		fmt.Fprintf(t, "%d\t%s", f.Row.Drop.Fall, rest)
		for v, value := range study.SeriesValues() {
			_, per, decimals := seriesUnit(value)
			fmt.Fprintf(t, "\t%s", figure.Fixed(float64(f.Values[v])/per, decimals))
		}
		if void := f.Row.Drop.Void; void != nil {
			fmt.Fprintf(t, "\tvoid: %s", void.Reason)
		}
		fmt.Fprintln(t)
	}
	t.Flush()
	printChanges(w, s)
}

// printChanges says the trends and what long rests did.
func printChanges(w io.Writer, s *study.Series) {
	values := study.SeriesValues()
	for i, t := range s.Trends {
		if i == 0 {
			fmt.Fprintln(w, "\nfrom fall to fall, by a straight line")
		}
		unit, per, decimals := seriesUnit(values[t.Value])
		fmt.Fprintln(w, wrap("  ", "    ", fmt.Sprintf("%s: %s a fall, standard error %s (%s, %d to %d)", values[t.Value].Name,
			signed(t.Slope, per, decimals+1, unit), with(figure.Fixed(t.SE/per, decimals+1), unit), figure.Counted(t.Points, "fall"), t.From, t.To)))
	}
	for i, r := range s.Recoveries {
		if i == 0 {
			fmt.Fprintln(w, "\nacross a long rest")
		}
		unit, per, decimals := seriesUnit(values[r.Value])
		text := fmt.Sprintf("%s before fall %d: %s", values[r.Value].Name, r.Fall, signed(r.Change, per, decimals, unit))
		if !math.IsNaN(r.Expected) {
			text += fmt.Sprintf("; a line through the %s before leads to %s", figure.Counted(r.Points, "fall"), with(figure.Fixed(r.Expected/per, decimals), unit))
		}
		fmt.Fprintln(w, wrap("  ", "    ", text))
	}
}

func with(number, unit string) string { return strings.TrimSpace(number + " " + unit) }

func signed(v, per float64, decimals int, unit string) string {
	text := figure.Fixed(v/per, decimals)
	if v > 0 {
		text = "+" + text
	}
	return with(text, unit)
}
