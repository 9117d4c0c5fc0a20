// SPDX-License-Identifier: Apache-2.0
// Short words for the rows of tables of fields: what a row says, and no more.
#pragma once

#include "form/form.h"

#include <stddef.h>

#define FIELD(type, k, what, member, ...)                                                          \
    { .key = k, .kind = what, .offset = offsetof(struct type, member), __VA_ARGS__ }
#define QUANTITY(type, k, member, d, ...)                                                          \
    FIELD(type, k, KW_KIND_QUANTITY, member, .dim = KW_DIM_##d, __VA_ARGS__)
#define COUNT(type, k, member, ...) FIELD(type, k, KW_KIND_COUNT, member, __VA_ARGS__)
#define TEXT(type, k, member, ...)  FIELD(type, k, KW_KIND_TEXT, member, __VA_ARGS__)
#define TEXTS(type, k, member, ...) FIELD(type, k, KW_KIND_TEXTS, member, __VA_ARGS__)
#define WORD(type, k, member, list, ...)                                                           \
    FIELD(type, k, KW_KIND_WORD, member, .words = list, __VA_ARGS__)
#define FORM(type, k, member, f, ...) FIELD(type, k, KW_KIND_FORM, member, .form = &f, __VA_ARGS__)
#define FORMS(type, k, member, f, ...)                                                             \
    FIELD(type, k, KW_KIND_FORMS, member, .form = &f, __VA_ARGS__)
#define NAMED(type, k, member, f, ...)                                                             \
    FIELD(type, k, KW_KIND_NAMED, member, .form = &f, __VA_ARGS__)
#define LABELLED(type, k, member, f, ...)                                                          \
    FIELD(type, k, KW_KIND_LABELLED, member, .form = &f, __VA_ARGS__)
#define REQUIRED            .required = true
#define ABOVE_ZERO_TO(most) .max = (most), .above_min = true
#define ABOVE_ZERO          .above_min = true
#define SAYS(text)          .meaning = text
#define DEFAULT(text)       .fallback = text
#define QUANTITIES(type, k, member, d, ...)                                                        \
    FIELD(type, k, KW_KIND_QUANTITIES, member, .dim = KW_DIM_##d, __VA_ARGS__)
#define NAME(type, k, member, ...) FIELD(type, k, KW_KIND_NAME, member, __VA_ARGS__)
#define CUSTOM(type, k, member, reader, json, ...)                                                 \
    FIELD(type, k, KW_KIND_CUSTOM, member, .read = reader, .schema = json, __VA_ARGS__)
