/** The ray caster for the graphics card: the same sum along each ray as the library's castRays, term for term. */

export const vertex = /* glsl */ `
out vec3 place;
void main() {
  place = (modelMatrix * vec4(position, 1.0)).xyz;
  gl_Position = projectionMatrix * viewMatrix * vec4(place, 1.0);
}`;

export const fragment = /* glsl */ `
precision highp float;
precision highp sampler3D;
uniform sampler3D voxels;         // values / unit
uniform sampler2D colours;        // brightness 0…1 across
uniform float unit;               // 1/mm
uniform vec3 corner, size;        // of the texture, mm: its lowest corner and its edges
uniform vec3 voxel;               // an edge of a voxel in the texture's own 0…1
uniform vec3 least, most;         // what is left of the volume, mm
uniform bool perspective;
uniform vec3 eye, forward;
uniform float longest;            // step, mm
uniform int shows;                // 0 solid, 1 maximum, 2 sum
uniform float threshold, ramp, opacity, shading, low, high, dimmest;
in vec3 place;
out vec4 colour;

// Row 0 is at the top, where y is greatest.
vec3 inTexture(vec3 at) {
  vec3 share = (at - corner) / size;
  return vec3(share.x, 1.0 - share.y, share.z);
}
float valueAt(vec3 t) { return texture(voxels, t).r * unit; }
float between(float value, float from, float to) { return clamp((value - from) / max(to - from, 1e-20), 0.0, 1.0); }

// How squarely a surface faces the viewer: the cosine between the ray and the steepest rise of the values.
float facing(vec3 t, vec3 direction) {
  vec3 rise = vec3(
    valueAt(t + vec3(voxel.x, 0, 0)) - valueAt(t - vec3(voxel.x, 0, 0)),
    valueAt(t - vec3(0, voxel.y, 0)) - valueAt(t + vec3(0, voxel.y, 0)),
    valueAt(t + vec3(0, 0, voxel.z)) - valueAt(t - vec3(0, 0, voxel.z)));
  float steepness = length(rise);
  return steepness > 0.0 ? abs(dot(rise, direction)) / steepness : 1.0;
}

void main() {
  vec3 direction = perspective ? normalize(place - eye) : forward;
  direction = mix(direction, vec3(1e-7), vec3(lessThan(abs(direction), vec3(1e-7)))); // along an axis there is nothing to divide by
  // Where the ray runs inside what is left of the volume, mm from its far face.
  vec3 one = (least - place) / direction, other = (most - place) / direction;
  vec3 near = min(one, other), far = max(one, other);
  float from = max(max(near.x, near.y), near.z), to = min(min(far.x, far.y), far.z);
  if (perspective) from = max(from, -length(place - eye));
  float across = max(to - from, 0.0);
  int count = int(ceil(across / longest - 1e-4));
  float stepLength = count > 0 ? across / float(count) : 0.0;

  float left = 1.0, greatest = 0.0, sum = 0.0;
  vec3 light = vec3(0.0);
  for (int i = 0; i < count; i++) {
    vec3 t = inTexture(place + (from + (float(i) + 0.5) * stepLength) * direction);
    float value = valueAt(t);
    if (shows == 1) greatest = i == 0 ? value : max(greatest, value);
    else if (shows == 2) sum += value * stepLength;
    else {
      float sigma = opacity * between(value, threshold, threshold + ramp);
      if (sigma <= 0.0) continue;
      float hidden = 1.0 - exp(-sigma * stepLength);
      float lit = 1.0 - shading + shading * facing(t, direction);
      light += left * hidden * lit * texture(colours, vec2(dimmest + (1.0 - dimmest) * between(value, low, high), 0.5)).rgb;
      left *= 1.0 - hidden;
      if (left < 1e-3) break;
    }
  }
  if (shows == 1) light = count > 0 ? texture(colours, vec2(between(greatest, low, high), 0.5)).rgb : vec3(0.0);
  if (shows == 2) light = vec3(exp(-sum));
  colour = vec4(light, 1.0);
}`;
