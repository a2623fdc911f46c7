package wav

import (
	"errors"
	"fmt"
	"math"
	"regexp"
	"strings"

	"github.com/pelletier/go-toml/v2"

	"fallwright.example/problem"
	"fallwright.example/trace"
)

// sideCar is what FILE.wav.toml says of FILE.wav. Its keys are ours.
type sideCar struct {
	FullScale *float64 `toml:"full_scale"` // force at a sample of 1, in unit
	Unit      string   `toml:"unit"`       // of the force
	Channels  []string `toml:"channels"`   // their names, in the order of the file
	Pull      string   `toml:"pull"`       // "positive" or "negative"
}

// sideCar reads the side-car, strictly: a key that it does not have is refused,
// with its line.
func (s *source) sideCar() (*sideCar, error) {
	car := &sideCar{}
	if s.ask.SideCarName == "" && s.ask.SideCar == "" {
		return car, nil
	}
	d := toml.NewDecoder(strings.NewReader(s.ask.SideCar)).DisallowUnknownFields()
	if err := d.Decode(car); err != nil {
		return nil, s.carError(err)
	}
	switch {
	case car.FullScale != nil && !sensible(*car.FullScale):
		return nil, s.refuseCar("full_scale", "%g is no full scale: it has to be above zero", *car.FullScale).
			Hint("write the force at a sample of 1, as full_scale = 20.0")
	case car.Unit != "" && !readable(car.Unit):
		return nil, s.refuseCar("unit", "%q is none of the units that are read: %s", car.Unit, unitsRead).
			Hint("write one of them, as unit = %q", "kN")
	case car.Pull != "" && car.Pull != "positive" && car.Pull != "negative":
		return nil, s.refuseCar("pull", "%q is no way that a pull can go", car.Pull).
			Hint("write pull = %q or pull = %q", "positive", "negative")
	}
	if car.Pull != "" && s.ask.Pull == trace.PullFound {
		s.fact("pull", car.Pull, "the side-car says so", "--pull")
		s.pull = pulls[car.Pull]
	}
	return car, nil
}

var pulls = map[string]trace.Pull{"positive": trace.PullPositive, "negative": trace.PullNegative}

// sensible reports whether v can be a full scale.
func sensible(v float64) bool { return v > 0 && !math.IsInf(v, 0) }

// carError says what TOML found wrong, and where.
func (s *source) carError(err error) error {
	var strict *toml.StrictMissingError
	var bad *toml.DecodeError
	if errors.As(err, &strict) && len(strict.Errors) > 0 {
		first := strict.Errors[0]
		line, _ := first.Position()
		key := strings.Join(first.Key(), ".")
		p := s.carAt(line, "%q is no key of a side-car", key)
		if strings.Contains(key, "rate") {
			return p.Hint("the rate is the file's own; --rate HZ overrides it")
		}
		return p.Hint("its keys are full_scale, unit, channels and pull")
	}
	if errors.As(err, &bad) {
		line, _ := bad.Position()
		return s.carAt(line, "%s", plainly(bad)).
			Hint("write it as TOML: full_scale = 20.0, unit = %q, channels = [%q, %q]", "kN", "force", "gate")
	}
	return s.carAt(1, "%s", strings.TrimPrefix(err.Error(), "toml: ")).Hint("write it as TOML: full_scale = 20.0")
}

// kinds are what the keys of a side-car hold.
var kinds = map[string]string{
	"full_scale": `a number, as full_scale = 20.0`, "unit": `a word in quotes, as unit = "kN"`,
	"channels": `a list of names in quotes, as channels = ["force", "gate"]`, "pull": `a word in quotes, "positive" or "negative"`,
}

// plainly says what TOML found wrong, without the words of its library: a value
// of another kind than its key holds, or text that is no TOML.
func plainly(bad *toml.DecodeError) string {
	if len(bad.Key()) > 0 {
		if kind, ok := kinds[bad.Key()[0]]; ok {
			return fmt.Sprintf("%s has to be %s", bad.Key()[0], kind)
		}
	}
	_, column := bad.Position()
	what := strings.TrimPrefix(bad.Error(), "toml: ")
	if strings.Contains(what, "cannot decode") || strings.Contains(what, "cannot store") || strings.Contains(what, "Go ") {
		return fmt.Sprintf("the value at column %d is of another kind than its key holds", column)
	}
	return fmt.Sprintf("the line is no TOML at column %d: %s", column, what)
}

// refuseCar refuses the value of a key, which stands at its own line.
func (s *source) refuseCar(key, format string, args ...any) *problem.Problem {
	at := regexp.MustCompile(`(?m)^[ \t]*["']?` + key + `["']?[ \t]*=`).FindStringIndex(s.ask.SideCar)
	line := 1
	if at != nil {
		line += strings.Count(s.ask.SideCar[:at[0]], "\n")
	}
	return s.carAt(line, format, args...)
}

func (s *source) carAt(line int, format string, args ...any) *problem.Problem {
	name := s.ask.SideCarName
	if name == "" {
		name = s.name + ".toml"
	}
	return problem.New(problem.Invalid, fmt.Sprintf("%s:%d", name, max(1, line)), format, args...).
		In("nothing was read from " + s.name)
}
