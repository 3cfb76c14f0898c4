// Package openapi holds the API's contract, one OpenAPI 3.1 document written by
// hand, and checks what is sent against it.
//
// The document lies in parts by topic under document/; Load puts them together,
// and a path or schema given twice is an error. It is more than a description:
// the roles and the scope that an operation's security lists decide who gets in,
// and a body that breaks its schema is refused with the paths of its faults.
//
// A body is read more strictly than encoding/json does: no key twice, none in
// another case, no invalid UTF-8, no number longer than 40 characters or with an
// exponent beyond ±400, which would cost a decoder of exact numbers time and
// memory before any rule is asked.
package openapi
