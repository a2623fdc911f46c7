package book

import (
	"context"
	"database/sql"

	"fallwright.example/campaign"
)

// PutRecipe keeps a recipe as the newest of its rig and name.
func (b *Book) PutRecipe(ctx context.Context, r campaign.Recipe) error {
	if err := r.Check(); err != nil {
		return err
	}
	ask, err := encode("recipe "+r.Name, r.Ask)
	if err != nil {
		return err
	}
	return b.write(ctx, func(tx *sql.Tx) error {
		_, err := tx.ExecContext(ctx, `
			INSERT INTO recipe (rig, name, version, at_ms, by_whom, ask_json)
			VALUES ($1, $2, (SELECT COALESCE(MAX(q.version), 0) + 1 FROM recipe q WHERE q.rig = $1 AND q.name = $2), $3, $4, $5)`,
			r.Rig, r.Name, millis(r.At), r.By, ask)
		return err
	})
}

const selectRecipes = `
	SELECT r.rig, r.name, r.at_ms, r.by_whom, r.ask_json FROM recipe r `

// Recipes lists the newest recipe of each name, by name.
func (b *Book) Recipes(ctx context.Context, rig string) ([]campaign.Recipe, error) {
	list, err := all(ctx, b.db, scanRecipe, selectRecipes+`
		WHERE ($1 = '' OR r.rig = $1)
		  AND r.version = (SELECT MAX(q.version) FROM recipe q WHERE q.rig = r.rig AND q.name = r.name)
		ORDER BY r.name, r.rig`, rig)
	return list, b.refuse(err)
}

func scanRecipe(rows *sql.Rows) (campaign.Recipe, error) {
	var r campaign.Recipe
	var at int64
	var ask string
	if err := rows.Scan(&r.Rig, &r.Name, &at, &r.By, &ask); err != nil {
		return r, err
	}
	r.At = moment(at)
	return r, decode("recipe "+r.Name, ask, &r.Ask)
}
