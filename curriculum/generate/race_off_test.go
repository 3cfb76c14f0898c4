//go:build !race

package generate_test

const raced = false
