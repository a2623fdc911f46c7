package study

import (
	"fmt"

	"fallwright.example/figure"
)

// Pictures are the falls as they are drawn, in the colour of a condition.
func (l *Law) Pictures(condition int) []figure.FittedFall {
	var out []figure.FittedFall
	for i, r := range l.Rows() {
		one := l.Fits[i]
		contact, _ := one.Parameter("contact")
		out = append(out, figure.FittedFall{
			Name: fmt.Sprintf("fall %d", r.Number), Law: l.Form.Name, Condition: condition, Rate: one.Rate, Measured: one.Measured, Predicted: one.Predicted,
			Noise: one.Noise, Contact: contact.Value, Peak: one.Peak, SD: one.SD,
		})
	}
	return out
}
