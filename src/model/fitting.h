// Where parts meet each other and the car, what joins faces that differ, and jobs done on the parts
// that are there. Plain data of the document: the engine needs none of it.
#pragma once

#include "model/field.h"

namespace steerbench {

// A place where two things meet. Whatever is fitted and states a face there must agree.
enum class Meeting : std::uint8_t {
  kRackMount,
  kPinion,
  kRackPressurePort,
  kRackReturnPort,
  kInnerThread,
  kOuterTaper,
  kKnuckle,
  kPumpMount,
  kPumpShaft,
  kPumpPressurePort,
  kPumpInlet,
  kBelt,
  kControlPort,
  kCoilPlug
};
template <>
struct Words<Meeting> {
  static constexpr std::array<std::string_view, 14> value{"rack mount",
                                                          "pinion",
                                                          "rack pressure port",
                                                          "rack return port",
                                                          "inner joint's thread",
                                                          "outer joint's taper",
                                                          "knuckle",
                                                          "pump mount",
                                                          "pump shaft",
                                                          "pump pressure port",
                                                          "pump inlet",
                                                          "belt",
                                                          "control valve port",
                                                          "coil plug"};
};

// Of a thread the way it turns in, of a rack or pump the side that it is made for.
enum class Hand : std::uint8_t { kLeft, kRight };
template <>
struct Words<Hand> {
  static constexpr std::array<std::string_view, 2> value{"left", "right"};
};

// What a part, the car or one side of an adapter shows to whatever it meets at one place. Only what
// is known is written; two faces agree when nothing stated by both differs.
struct Face {
  std::optional<Meeting> at;
  std::string pattern, seat, profile;
  std::optional<Hand> hand;
  std::optional<Quantity> bolts, spacing, splines, ribs, diameter, pitch, taper;

  template <class V, class... A>
  static void Visit(V&& v, A&... a) {
    constexpr Kind k = Kind::kLength;
    v(FieldInfo{"at", Kind::kRatio, "where it meets something"}, a.at...);
    v(FieldInfo{"pattern", Kind::kRatio, "shape of a mount or plug, in words of yours"},
      a.pattern...);
    v(FieldInfo{"seat", Kind::kRatio, "how a port seals: flare, O-ring, banjo"}, a.seat...);
    v(FieldInfo{"profile", Kind::kRatio, "of a belt's grooves"}, a.profile...);
    v(FieldInfo{"hand", Kind::kRatio,
                "of a thread: left or right; of a rack or pump: the side it is made for"},
      a.hand...);
    v(FieldInfo{"bolts", Kind::kCount, "of a mount: number of bolts", Range::kPositive},
      a.bolts...);
    v(FieldInfo{"spacing", k, "of a mount: between bolts", Range::kPositive}, a.spacing...);
    v(FieldInfo{"splines", Kind::kCount, "of a shaft: number of splines", Range::kPositive},
      a.splines...);
    v(FieldInfo{"ribs", Kind::kCount, "of a belt: number of ribs", Range::kPositive}, a.ribs...);
    v(FieldInfo{"diameter", k, "nominal, of a shaft, thread or bore; of a taper its wide end",
                Range::kPositive},
      a.diameter...);
    v(FieldInfo{"pitch", k, "nominal, of a thread", Range::kPositive}, a.pitch...);
    v(FieldInfo{"taper", Kind::kRatio, "of a cone: diameter lost per length", Range::kPositive},
      a.taper...);
  }
};

}  // namespace steerbench
