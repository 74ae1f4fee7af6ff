#include "engine/belt/path.h"

#include <algorithm>
#include <cmath>
#include <limits>
#include <numbers>
#include <optional>
#include <utility>

namespace steerbench::belt {
namespace {

constexpr double kTurn = 2.0 * std::numbers::pi;
// Wraps sum to whole turns but for rounding.
constexpr double kTurnTolerance = 1e-6;
// A wrap beyond this on a belt that does not close rightly is a pulley passed on the wrong side.
constexpr double kWrongSide = 0.75 * kTurn;
constexpr int kMostBisections = 100;

template <class T>
Vec2<T> LeftOf(const Vec2<T>& v) {
  return {-v.y(), v.x()};
}

double Cross(const Vec2<double>& a, const Vec2<double>& b) { return a.x() * b.y() - a.y() * b.x(); }

template <class T>
std::optional<Fault> WrongPulley(const std::vector<Pulley<T>>& pulleys) {
  const int n = static_cast<int>(pulleys.size());
  if (n < 2) return Fault{Problem::kTooFew};
  for (int i = 0; i < n; ++i) {
    const Pulley<T>& p = pulleys[i];
    if (!IsFinite(p.centre.x(), p.centre.y())) return Fault{Problem::kNotFinite, i};
    if (!IsPositive(p.radius)) return Fault{Problem::kRadius, i};
  }
  for (int i = 0; i < n; ++i) {
    for (int j = i + 1; j < n; ++j) {
      const double apart = (Values(pulleys[i].centre) - Values(pulleys[j].centre)).norm();
      if (!(apart > Value(pulleys[i].radius) + Value(pulleys[j].radius)))
        return Fault{Problem::kOverlap, i, j};
    }
  }
  return std::nullopt;
}

// A path by one sense of going round (+1 counter-clockwise), whether or not it closes rightly.
template <class T>
struct Attempt {
  Path<T> path;
  double turns = 0.0;  // the signed wraps' sum, in turns
};

template <class T>
Attempt<T> Walk(const std::vector<Pulley<T>>& pulleys, double sense) {
  using std::asin;
  using std::atan2;
  using std::sqrt;
  const std::size_t n = pulleys.size();
  const auto sign = [&](std::size_t i) {
    return pulleys[i].face == Face::kInside ? sense : -sense;
  };
  Attempt<T> a;
  std::vector<T> heading;
  for (std::size_t i = 0; i < n; ++i) {
    const std::size_t j = (i + 1) % n;
    const T r1 = sign(i) * pulleys[i].radius, r2 = sign(j) * pulleys[j].radius;
    const Vec2<T> between = pulleys[j].centre - pulleys[i].centre;
    const T apart_squared = between.squaredNorm();
    const T span = sqrt(apart_squared - (r2 - r1) * (r2 - r1));
    // The pulley lies to the left of the belt by its signed radius.
    const Vec2<T> direction = (between * span - LeftOf(between) * (r2 - r1)) / apart_squared;
    heading.push_back(atan2(direction.y(), direction.x()));
    a.path.leaves.push_back(pulleys[i].centre - LeftOf(direction) * r1);
    a.path.arrives.push_back(pulleys[j].centre - LeftOf(direction) * r2);
    a.path.direction.push_back(direction);
    a.path.span.push_back(span);
  }
  for (std::size_t i = 0; i < n; ++i) {
    T wrap = sign(i) * (heading[i] - heading[(i + n - 1) % n]);
    wrap -= kTurn * std::floor(Value(wrap) / kTurn);
    a.turns += sign(i) * Value(wrap) / kTurn;
    a.path.length += a.path.span[i] + wrap * pulleys[i].radius;
    a.path.wrap.push_back(wrap);
  }
  return a;
}

template <class T>
bool Closes(const Attempt<T>& a, double sense) {
  return std::abs(a.turns - sense) < kTurnTolerance;
}

// Why neither sense closes: the sense meant is that in which the centres go round.
template <class T>
Fault WhyOpen(const std::vector<Pulley<T>>& pulleys, const Attempt<T>& left,
              const Attempt<T>& right) {
  double area = 0.0;
  for (std::size_t i = 0; i < pulleys.size(); ++i) {
    area += Cross(Values(pulleys[i].centre), Values(pulleys[(i + 1) % pulleys.size()].centre));
  }
  const Path<T>& meant = (area < 0.0 ? right : left).path;
  const auto by_value = [](const T& a, const T& b) { return Value(a) < Value(b); };
  const auto widest = std::max_element(meant.wrap.begin(), meant.wrap.end(), by_value);
  if (Value(*widest) < kWrongSide) return {Problem::kInsideOut};
  return {Problem::kMisses, static_cast<int>(widest - meant.wrap.begin())};
}

double DistanceToSpan(const Vec2<double>& p, const Vec2<double>& a, const Vec2<double>& b) {
  const Vec2<double> along = b - a;
  const double share = std::clamp((p - a).dot(along) / along.squaredNorm(), 0.0, 1.0);
  return (p - a - share * along).norm();
}

bool Cross(const Vec2<double>& a, const Vec2<double>& b, const Vec2<double>& c,
           const Vec2<double>& d) {
  const double to_c = Cross(b - a, c - a), to_d = Cross(b - a, d - a);
  const double to_a = Cross(d - c, a - c), to_b = Cross(d - c, b - c);
  return to_c * to_d < 0.0 && to_a * to_b < 0.0;
}

template <class T>
std::optional<Fault> Collision(const std::vector<Pulley<T>>& pulleys, const Path<T>& path) {
  const int n = static_cast<int>(pulleys.size());
  for (int i = 0; i < n; ++i) {
    const Vec2<double> a = Values(path.leaves[i]), b = Values(path.arrives[i]);
    for (int k = 0; k < n; ++k) {
      if (k == i || k == (i + 1) % n) continue;
      if (DistanceToSpan(Values(pulleys[k].centre), a, b) < Value(pulleys[k].radius))
        return Fault{Problem::kSpanHits, i, k};
    }
    for (int k = i + 1; k < n; ++k) {
      if (Cross(a, b, Values(path.leaves[k]), Values(path.arrives[k])))
        return Fault{Problem::kCrossed, i, k};
    }
  }
  return std::nullopt;
}

template <class T>
Vec2<T> PointOf(const Guide<T>& g, const T& position) {
  using std::cos;
  using std::sin;
  if (g.kind == GuideKind::kSlot)
    return g.origin + Vec2<T>(cos(g.slot_angle), sin(g.slot_angle)) * position;
  return g.origin + Vec2<T>(cos(position), sin(position)) * g.arm;
}

template <class T>
Vec2<T> RateOf(const Guide<T>& g, const T& position) {
  using std::cos;
  using std::sin;
  if (g.kind == GuideKind::kSlot) return {cos(g.slot_angle), sin(g.slot_angle)};
  return Vec2<T>(-sin(position), cos(position)) * g.arm;
}

template <class T>
std::optional<Fault> WrongGuide(const std::vector<Pulley<T>>& pulleys, const Guide<T>& g) {
  if (g.pulley >= pulleys.size()) return Fault{Problem::kNoSuchPulley, static_cast<int>(g.pulley)};
  if (!IsFinite(g.origin.x(), g.origin.y(), g.arm, g.slot_angle, g.from, g.to))
    return Fault{Problem::kNotFinite};
  return std::nullopt;
}

template <class T>
std::vector<Pulley<double>> Plain(const std::vector<Pulley<T>>& pulleys) {
  std::vector<Pulley<double>> plain;
  for (const Pulley<T>& p : pulleys) plain.push_back({Values(p.centre), Value(p.radius), p.face});
  return plain;
}

template <class T>
Guide<double> Plain(const Guide<T>& g) {
  return {g.kind,        g.pulley,   Values(g.origin), Value(g.arm), Value(g.slot_angle),
          Value(g.from), Value(g.to)};
}

// Length of the path at each of the places looked up, unset where there is none.
struct Scan {
  std::vector<double> position;
  std::vector<std::optional<double>> length;
};

std::optional<double> LengthAt(const std::vector<Pulley<double>>& pulleys,
                               const Guide<double>& guide, double position) {
  const auto path = PathOver(PlacedAt(pulleys, guide, position));
  return path ? std::optional(path->length) : std::nullopt;
}

Scan ScanOf(const std::vector<Pulley<double>>& pulleys, const Guide<double>& guide) {
  Scan s;
  for (int i = 0; i <= kGuideSteps; ++i) {
    s.position.push_back(guide.from + (guide.to - guide.from) * i / kGuideSteps);
    s.length.push_back(LengthAt(pulleys, guide, s.position.back()));
  }
  return s;
}

std::optional<Reach> ReachOf(const Scan& scan) {
  Reach r{std::numeric_limits<double>::infinity(), 0.0};
  for (const auto& length : scan.length) {
    if (!length) continue;
    r.shortest = std::min(r.shortest, *length);
    r.longest = std::max(r.longest, *length);
  }
  return r.longest > 0.0 ? std::optional(r) : std::nullopt;
}

// The first place of the scan between two neighbours that bracket the length.
std::optional<double> FindPlace(const std::vector<Pulley<double>>& pulleys,
                                const Guide<double>& guide, const Scan& scan, double length) {
  for (int i = 0; i < kGuideSteps; ++i) {
    if (!scan.length[i] || !scan.length[i + 1]) continue;
    double low = scan.position[i], high = scan.position[i + 1];
    const bool below = *scan.length[i] <= length;
    if (below != (*scan.length[i + 1] >= length)) continue;
    for (int k = 0; k < kMostBisections; ++k) {
      const double middle = (low + high) / 2.0;
      const auto here = LengthAt(pulleys, guide, middle);
      if (!here) break;
      ((*here <= length) == below ? low : high) = middle;
    }
    return (low + high) / 2.0;
  }
  return std::nullopt;
}

}  // namespace

std::string_view Describe(Problem problem) {
  switch (problem) {
    case Problem::kNotFinite:
      return "a number is missing, not finite, or too large to compute with";
    case Problem::kTooFew:
      return "a belt needs two pulleys at least";
    case Problem::kRadius:
      return "a pulley's diameter is not above zero";
    case Problem::kOverlap:
      return "two pulleys overlap";
    case Problem::kInsideOut:
      return "no belt can run over these pulleys in this order with these faces: it would turn "
             "inside out";
    case Problem::kMisses:
      return "the belt does not touch a pulley in this order";
    case Problem::kSpanHits:
      return "a free span runs into another pulley";
    case Problem::kCrossed:
      return "two spans of the belt cross";
    case Problem::kTooLong:
      return "the belt is too long: the tensioner cannot take it up";
    case Problem::kTooShort:
      return "the belt is too short to go on";
    case Problem::kNoRange:
      return "no place of the tensioner gives a possible belt run";
    case Problem::kNoSuchPulley:
      return "a pulley is named that is not there";
    case Problem::kStep:
      return "the step of standard lengths is not above zero";
    case Problem::kSpeed:
      return "the belt speed is not above zero";
    case Problem::kPower:
      return "a power is below zero";
    case Problem::kTension:
      return "the belt tension is not above zero";
    case Problem::kFriction:
      return "the belt's friction or groove angle is not above zero";
    case Problem::kWrap:
      return "a driving or driven pulley has no belt wrapped around it";
    case Problem::kSlack:
      return "a span goes slack: tension too low for this power or speed";
    case Problem::kCapacity:
      return "the capacity of a rib is not above zero";
  }
  return "unknown";
}

template <class T>
T GroovedRadius(const T& effective_diameter, double line_differential) {
  return effective_diameter / 2.0 + line_differential;
}

template <class T>
T BackRadius(const T& diameter, const T& back_to_pitch) {
  return diameter / 2.0 + back_to_pitch;
}

template <class T>
Outcome<Path<T>, Fault> PathOver(const std::vector<Pulley<T>>& pulleys) {
  if (const auto wrong = WrongPulley(pulleys)) return *wrong;
  const Attempt<T> left = Walk(pulleys, 1.0), right = Walk(pulleys, -1.0);
  const Path<T>* best = nullptr;
  std::optional<Fault> hit;
  for (const auto& [attempt, sense] : {std::pair{&left, 1.0}, std::pair{&right, -1.0}}) {
    if (!Closes(*attempt, sense)) continue;
    const auto collision = Collision(pulleys, attempt->path);
    if (collision && !hit) hit = collision;
    if (collision) continue;
    // Two pulleys give the same path both ways; more can, rarely, and then the tighter is meant.
    if (!best || Value(attempt->path.length) < Value(best->length)) best = &attempt->path;
  }
  if (!best) return hit ? *hit : WhyOpen(pulleys, left, right);
  if (!IsPositive(best->length)) return Fault{Problem::kNotFinite};
  return *best;
}

template <class T>
Outcome<T, Fault> LengthChange(const std::vector<Pulley<T>>& pulleys, std::size_t changed,
                               const T& new_radius) {
  if (changed >= pulleys.size()) return Fault{Problem::kNoSuchPulley, static_cast<int>(changed)};
  const auto before = PathOver(pulleys);
  if (!before) return before.why();
  std::vector<Pulley<T>> other = pulleys;
  other[changed].radius = new_radius;
  const auto after = PathOver(other);
  if (!after) return after.why();
  return T(after->length - before->length);
}

template <class T>
T EffectiveLength(const T& pitch_length, double line_differential) {
  return pitch_length - kTurn * line_differential;
}

Outcome<Standard, Fault> StandardNear(double effective_length, double step) {
  if (!IsPositive(step)) return Fault{Problem::kStep};
  if (!IsPositive(effective_length)) return Fault{Problem::kNotFinite};
  // Lengths that differ from a standard one by rounding alone are that one.
  const double steps = effective_length / step, whole = std::round(steps);
  constexpr double kSame = 1e-9;
  const bool same = std::abs(steps - whole) < kSame;
  const Standard s{(same ? whole : std::floor(steps)) * step,
                   (same ? whole : std::ceil(steps)) * step};
  if (!IsFinite(s.below, s.above)) return Fault{Problem::kNotFinite};
  return s;
}

template <class T>
std::vector<Pulley<T>> PlacedAt(std::vector<Pulley<T>> pulleys, const Guide<T>& guide,
                                const T& position) {
  pulleys.at(guide.pulley).centre = PointOf(guide, position);
  return pulleys;
}

template <class T>
Outcome<Reach, Fault> ReachOf(const std::vector<Pulley<T>>& pulleys, const Guide<T>& guide) {
  if (const auto wrong = WrongGuide(pulleys, guide)) return *wrong;
  const auto reach = ReachOf(ScanOf(Plain(pulleys), Plain(guide)));
  if (!reach) return Fault{Problem::kNoRange};
  return *reach;
}

template <class T>
Outcome<Placed<T>, Fault> PlaceFor(const std::vector<Pulley<T>>& pulleys, const Guide<T>& guide,
                                   const T& pitch_length) {
  if (const auto wrong = WrongGuide(pulleys, guide)) return *wrong;
  if (!IsPositive(pitch_length)) return Fault{Problem::kNotFinite};
  const auto plain = Plain(pulleys);
  const Guide<double> plain_guide = Plain(guide);
  const Scan scan = ScanOf(plain, plain_guide);
  const auto reach = ReachOf(scan);
  if (!reach) return Fault{Problem::kNoRange};
  const auto place = FindPlace(plain, plain_guide, scan, Value(pitch_length));
  if (!place) {
    // A length between the two that is not met lies where no run is possible.
    if (Value(pitch_length) > reach->longest) return Fault{Problem::kTooLong};
    return Fault{Value(pitch_length) < reach->shortest ? Problem::kTooShort : Problem::kNoRange};
  }
  return PlacedFrom<T>(pulleys, guide, pitch_length, *place);
}

template <class T>
Outcome<Placed<T>, Fault> PlacedFrom(const std::vector<Pulley<T>>& pulleys, const Guide<T>& guide,
                                     const T& pitch_length, double place) {
  const auto there = PathOver(PlacedAt<T>(pulleys, guide, T(place)));
  if (!there) return there.why();
  // One Newton step in T carries the derivatives (implicit function theorem). Moving a pulley
  // lengthens the belt by the way it goes along the arriving and against the leaving span.
  const std::size_t n = pulleys.size(), k = guide.pulley;
  const Vec2<double> pull = Values(there->direction[(k + n - 1) % n]) - Values(there->direction[k]);
  const double rate = pull.dot(RateOf(Plain(guide), place));
  Placed<T> placed;
  placed.position = place + (pitch_length - there->length) / rate;
  const auto path = PathOver(PlacedAt<T>(pulleys, guide, placed.position));
  if (!path) return path.why();
  placed.path = *path;
  if (!IsFinite(placed.position)) return Fault{Problem::kNotFinite};
  return placed;
}

#define STEERBENCH_INSTANTIATE(T)                                                                \
  template T GroovedRadius(const T&, double);                                                    \
  template T BackRadius(const T&, const T&);                                                     \
  template Outcome<Path<T>, Fault> PathOver(const std::vector<Pulley<T>>&);                      \
  template Outcome<T, Fault> LengthChange(const std::vector<Pulley<T>>&, std::size_t, const T&); \
  template T EffectiveLength(const T&, double);                                                  \
  template std::vector<Pulley<T>> PlacedAt(std::vector<Pulley<T>>, const Guide<T>&, const T&);   \
  template Outcome<Reach, Fault> ReachOf(const std::vector<Pulley<T>>&, const Guide<T>&);        \
  template Outcome<Placed<T>, Fault> PlaceFor(const std::vector<Pulley<T>>&, const Guide<T>&,    \
                                              const T&);                                         \
  template Outcome<Placed<T>, Fault> PlacedFrom(const std::vector<Pulley<T>>&, const Guide<T>&,  \
                                                const T&, double)
STEERBENCH_INSTANTIATE(double);
STEERBENCH_INSTANTIATE(Jet);
#undef STEERBENCH_INSTANTIATE

}  // namespace steerbench::belt
