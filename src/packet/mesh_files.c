// SPDX-License-Identifier: Apache-2.0
// A mesh for other programs: glTF 2.0 in its binary form (ISO/IEC 12113:2022), and binary STL.
// Both are little-endian.
#include "packet/packet.h"

#include <string.h>

static void put_whole(struct kw_text *t, uint32_t v, int bytes) {
    for (int i = 0; i < bytes; i++) {
        char c = (char)(v >> (8 * i) & 0xff);
        kw_text_addn(t, &c, 1);
    }
}

static void put_float(struct kw_text *t, float v) {
    uint32_t bits;
    memcpy(&bits, &v, sizeof bits);
    put_whole(t, bits, 4);
}

// -------------------------------------------------------------------------------------------- GLB

struct extent {
    float least[3], most[3];
};

// Millimetres, z up to metres, y up.
static void glb_point(struct kw_vec3 p, float v[3]) {
    v[0] = (float)(p.x / 1000);
    v[1] = (float)(p.z / 1000);
    v[2] = (float)(-p.y / 1000);
}

static struct extent glb_extent(const struct kw_mesh *m) {
    struct extent e;
    for (int i = 0; i < m->point_count; i++) {
        float v[3];
        glb_point(m->points[i], v);
        for (int k = 0; k < 3; k++) {
            e.least[k] = i == 0 || v[k] < e.least[k] ? v[k] : e.least[k];
            e.most[k] = i == 0 || v[k] > e.most[k] ? v[k] : e.most[k];
        }
    }
    return e;
}

// Nine digits are enough to give each float back.
static void glb_three(struct kw_text *t, const char *key, const float v[3]) {
    kw_text_addf(t, "\"%s\":[%.9g,%.9g,%.9g]", key, (double)v[0], (double)v[1], (double)v[2]);
}

// Without normals a viewer shades each triangle flat, as sheet metal is.
static void glb_json(const struct kw_mesh *m, const char *name, struct kw_text *t) {
    struct extent e = glb_extent(m);
    int points = 12 * m->point_count, corners = 12 * m->triangle_count;
    kw_text_addf(t,
                 "{\"asset\":{\"version\":\"2.0\",\"generator\":\"kitwright\"},\"scene\":0,"
                 "\"scenes\":[{\"nodes\":[0]}],\"nodes\":[{\"mesh\":0,\"name\":\"%s\"}],"
                 "\"meshes\":[{\"name\":\"%s\",\"primitives\":[{\"attributes\":{\"POSITION\":0},"
                 "\"indices\":1,\"material\":0}]}],"
                 "\"materials\":[{\"name\":\"sheet\",\"pbrMetallicRoughness\":{\"baseColorFactor\":"
                 "[0.6,0.62,0.65,1],\"metallicFactor\":0.8,\"roughnessFactor\":0.5}}],",
                 name, name);
    kw_text_addf(t,
                 "\"buffers\":[{\"byteLength\":%d}],\"bufferViews\":[{\"buffer\":0,"
                 "\"byteLength\":%d,\"target\":34962},{\"buffer\":0,\"byteOffset\":%d,"
                 "\"byteLength\":%d,\"target\":34963}],",
                 points + corners, points, points, corners);
    kw_text_addf(t,
                 "\"accessors\":[{\"bufferView\":0,\"componentType\":5126,\"count\":%d,"
                 "\"type\":\"VEC3\",",
                 m->point_count);
    glb_three(t, "min", e.least);
    kw_text_add(t, ",");
    glb_three(t, "max", e.most);
    kw_text_addf(t,
                 "},{\"bufferView\":1,\"componentType\":5125,\"count\":%d,\"type\":\"SCALAR\"}]}",
                 3 * m->triangle_count);
    while (t->length % 4)
        kw_text_add(t, " ");
}

void kw_packet_glb(const struct kw_mesh *m, const char *name, struct kw_text *out) {
    struct kw_text json = {0};
    glb_json(m, name, &json);
    uint32_t buffer = 12 * (uint32_t)(m->point_count + m->triangle_count);
    put_whole(out, 0x46546c67, 4); // "glTF"
    put_whole(out, 2, 4);
    put_whole(out, 12 + 8 + (uint32_t)json.length + 8 + buffer, 4);
    put_whole(out, (uint32_t)json.length, 4);
    put_whole(out, 0x4e4f534a, 4); // "JSON"
    kw_text_addn(out, json.s, json.length);
    put_whole(out, buffer, 4);
    put_whole(out, 0x004e4942, 4); // "BIN"
    for (int i = 0; i < m->point_count; i++) {
        float v[3];
        glb_point(m->points[i], v);
        for (int k = 0; k < 3; k++)
            put_float(out, v[k]);
    }
    for (int i = 0; i < m->triangle_count; i++) {
        for (int k = 0; k < 3; k++)
            put_whole(out, (uint32_t)m->triangles[i][k], 4);
    }
    kw_text_free(&json);
}

// -------------------------------------------------------------------------------------------- STL

static void stl_vector(struct kw_text *t, struct kw_vec3 p) {
    put_float(t, (float)p.x);
    put_float(t, (float)p.y);
    put_float(t, (float)p.z);
}

void kw_packet_stl(const struct kw_mesh *m, const char *name, struct kw_text *out) {
    char header[80] = "mm, z up: "; // must not begin with "solid", as the text form does
    size_t said = strlen(header), room = sizeof header - said;
    memcpy(header + said, name, strlen(name) < room ? strlen(name) : room);
    kw_text_addn(out, header, sizeof header);
    put_whole(out, (uint32_t)m->triangle_count, 4);
    for (int i = 0; i < m->triangle_count; i++) {
        const int *t = m->triangles[i];
        struct kw_vec3 a = m->points[t[0]], b = m->points[t[1]], c = m->points[t[2]];
        struct kw_vec3 n = kw_cross3(kw_sub3(b, a), kw_sub3(c, a));
        double length = kw_length3(n);
        stl_vector(out, length > 0 ? kw_scale3(n, 1 / length) : kw_v3(0, 0, 0));
        stl_vector(out, a);
        stl_vector(out, b);
        stl_vector(out, c);
        put_whole(out, 0, 2);
    }
}
