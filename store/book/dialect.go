package book

import (
	"context"
	"database/sql"

	"github.com/pressly/goose/v3"

	"fallwright.example/problem"
)

// Dialect is what one kind of database does its own way.
type Dialect struct {
	// Migrations names the database to the runner of migrations.
	Migrations goose.Dialect
	// Write and Read are how transactions begin. Read sees one moment of the
	// book however many queries it makes.
	Write, Read *sql.TxOptions
	// OneWriter makes the writers of this process take turns, first come first
	// served. It is for a database that has one writer at a time and lets the
	// others ask again and again.
	OneWriter bool
	// Where names the database in refusals.
	Where string
	// Refusal returns the Problem behind an error of the driver, or nil when
	// the error is not one that a person can act on.
	Refusal func(error) *problem.Problem
	// Integrity is the database's own check of itself, foreign keys included.
	// Faults found are a problem.List.
	Integrity func(context.Context, *sql.Tx) error
}
