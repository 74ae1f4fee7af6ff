// The front axle at one position of the hand wheel: asked for at every frame of a drag.
#include <fmt/format.h>

#include <algorithm>
#include <cmath>

#include "engine/evaluate/chain.h"
#include "engine/evaluate/stance_figures.h"
#include "server/routes.h"

namespace steerbench::server {
namespace {

// Bounds of what can be asked for: far beyond any car, near enough to be solved at once.
constexpr double kMostTravel = 0.5;        // [m]
constexpr double kMostHandWheel = 1000.0;  // [rad]
constexpr double kMostSpeed = 150.0;       // [m/s]
constexpr double kMostEngine = 3000.0;     // [rad/s]

double Within(const Request& request, const char* name, double usual, double low, double high) {
  const double x = NumberIn(request, name).value_or(usual);
  if (x < low || x > high) {
    Refuse(400, "parameter", fmt::format("must be from {} to {} (SI)", low, high), name);
  }
  return x;
}

Json Number(double x) { return std::isfinite(x) ? Json(x) : Json(nullptr); }
Json Number(const std::optional<double>& x) { return x ? Number(*x) : Json(nullptr); }
Json PointJson(const Vec3<double>& p) { return {Number(p.x()), Number(p.y()), Number(p.z())}; }
Json PointJson(const std::optional<Vec3<double>>& p) { return p ? PointJson(*p) : Json(nullptr); }

const StancePoint* Find(const WheelStance& w, std::string_view name) {
  for (const StancePoint& p : w.points) {
    if (p.name == name) return &p;
  }
  return nullptr;
}

Json PointOf(const WheelStance& w, std::string_view name) {
  const StancePoint* p = Find(w, name);
  return p == nullptr ? Json(nullptr) : PointJson(p->at);
}

Json WheelJson(const WheelStance& w, Side side) {
  const auto of = [&](double linkage::WheelState<double>::*field) {
    return w.state ? Number((*w.state).*field) : Json(nullptr);
  };
  using State = linkage::WheelState<double>;
  Json j{{"steer", w.sample.steer},
         {"toe", -w.sample.steer * SideSign(side)},
         {"steer_per_travel", Number(w.sample.steer_per_travel)},
         {"camber", of(&State::camber)},
         {"caster", of(&State::caster)},
         {"inclination", of(&State::inclination)},
         {"scrub", of(&State::scrub_radius)},
         {"trail", of(&State::mechanical_trail)},
         {"wheel_travel", w.jounce},
         {"rod_arm_angle", Number(w.sample.rod_arm_angle)},
         {"inner_tilt", Number(w.sample.inner_tilt)},
         {"outer_tilt", Number(w.sample.outer_tilt)},
         {"centre", PointOf(w, "wheel_centre")},
         {"spin", PointJson(w.spin)},
         {"axis", {{"upper", PointOf(w, "axis_upper")}, {"lower", PointOf(w, "axis_lower")}}},
         {"ground", {{"patch", PointJson(w.contact)}, {"axis", PointOf(w, "axis_ground")}}},
         {"points", Json::object()},
         {"links", Json::array()}};
  for (const StancePoint& p : w.points) j["points"][std::string(p.name)] = PointJson(p.at);
  for (const StanceLink& l : w.links) j["links"].push_back({l.from, l.to, l.kind});
  return j;
}

Json CircleJson(const std::optional<StanceCircle>& c) {
  if (!c) return nullptr;
  const turning::FourPaths<double>& p = c->paths;
  return {{"centre", {c->centre.x, c->centre.y}},
          {"kerb", Number(c->kerb)},
          {"wall", Number(c->wall)},
          {"paths",
           {{"front_left", Number(p.front_left)},
            {"front_right", Number(p.front_right)},
            {"rear_left", Number(p.rear_left)},
            {"rear_right", Number(p.rear_right)}}}};
}

// A figure as check has it (docs/json.md).
Json FigureJson(const Figure& f, const std::vector<Input>& inputs, Kind kind, const Units& units,
                std::size_t most) {
  const auto tolerance = f.tolerance > 0.0 ? std::optional(f.tolerance) : std::nullopt;
  Json j{{"si", f.value},        {"si_unit", SiSymbol(kind)},
         {"si_pm", f.tolerance}, {"text", Show(f.value, tolerance, kind, units.For(kind)).text},
         {"assumed", f.assumed}, {"pm_too_narrow", f.too_narrow},
         {"from", Json::array()}};
  const double variance = f.tolerance * f.tolerance;
  for (const Contribution& c : f.from) {
    if (j["from"].size() == most) break;
    const double share = variance > 0.0 ? c.half_width * c.half_width / variance : 0.0;
    j["from"].push_back(
        {{"input", inputs[c.input].path}, {"sensitivity_si", c.sensitivity}, {"share", share}});
  }
  return j;
}

// Where the rack's travel ends one way.
Json EndJson(const Plain& plain, Way way) {
  const TravelEnds<double>& ends = plain.results.ends[Index(way)];
  const Output id = way == Way::kLeft ? Output::kTravelLeft : Output::kTravelRight;
  Json j{{"travel", Number(plain.results[id])},
         {"limit", nullptr},
         {"label", nullptr},
         {"at", nullptr}};
  if (ends.binding) {
    const auto& info = RackEnds()[static_cast<std::size_t>(ends.limit[*ends.binding].end)];
    j["limit"] = info.key;
    j["label"] = info.label;
    j["at"] = Number(ends.limit[*ends.binding].travel);
  }
  return j;
}

Json CarJson(const Fitted<double>& f) {
  Json obstacles = Json::array();
  for (const auto& o : f.car.front.obstacle) {
    obstacles.push_back({{"name", o.name},
                         {"at", o.at ? Json{(*o.at)[0], (*o.at)[1], (*o.at)[2]} : Json(nullptr)},
                         {"gap", Number(o.gap)}});
  }
  return {{"wheelbase", Number(f.car.wheelbase)},
          {"body_width", Number(f.car.body_width)},
          {"rear_track", Number(f.car.rear_track)},
          {"front_overhang", Number(f.car.front_overhang)},
          {"obstacles", std::move(obstacles)}};
}

Json Paths(const Fitted<double>& f, const Missing& missing) {
  Json paths = Json::array();
  for (const std::string_view path : missing) paths.push_back(FullPath(f, path));
  return paths;
}

// What the hand wheel weighs standing there, dry, brake off, turned on to either side.
Json WeightJson(const Plain& plain, const Request& request, double travel) {
  Fitted<double> f = plain.fitted;
  if (request.query.contains("temperature")) {
    f.car.oil.temperature = Within(request, "temperature", 0.0, kColdestOnCar, kHottestOnCar);
  }
  const double engine =
      Within(request, "engine_speed", f.car.engine.idle.value_or(0.0), 0.0, kMostEngine);
  const double road = Within(request, "road_speed", 0.0, 0.0, kMostSpeed);
  Json j{{"pump_speed", nullptr}, {"weight", {{"turn_left", nullptr}, {"turn_right", nullptr}}}};
  std::vector<Assumption> assumed;
  Chain<double> chain(f, plain.front, plain.hand, plain.hand_missing, assumed);
  if (!chain.StandingLacks(false).empty() || !chain.AssistLacksBesideEngine(road).empty()) return j;
  const bool given = f.car.engine.idle || request.query.contains("engine_speed");
  if (chain.HasAssist() && !given) return j;
  std::optional<double> pump;
  if (chain.HasAssist()) pump = chain.PumpSpeedAt(engine);
  j["pump_speed"] = Number(pump);
  const auto axle = chain.Standing({}, travel);
  if (!axle) return j;
  for (const auto side : {effort::Direction::kLeft, effort::Direction::kRight}) {
    const auto weighed = chain.Turn(*axle, side, pump, road);
    if (!weighed) continue;
    j["weight"][side == effort::Direction::kLeft ? "turn_left" : "turn_right"] = {
        {"torque", weighed->to_left},
        {"pull", Number(weighed->hand.rim_pull * chain.Sense())},
        {"pressure", weighed->oil ? Number(weighed->oil->outlet) : Json(nullptr)},
        {"flow", weighed->oil ? Number(weighed->oil->delivered) : Json(nullptr)}};
  }
  return j;
}

// The read-outs with their ±, for when the hand rests.
Json FiguresJson(const State& state, const FittedSetup& setup, const Request& request,
                 const Stance& stance) {
  const Units units = UnitsOf(state, request);
  const std::size_t most = MostInputs(request);
  StanceDrive drive{stance.travel, {}};
  for (const Side side : kSides) {
    const auto& wheel = stance.wheel[Index(side)];
    if (!wheel) return Json::object();
    drive.jounce[Index(side)] = wheel->jounce;
  }
  Fitted<Quantity> fitted = setup.AsWritten();
  if (request.query.contains("temperature")) {
    Quantity& t = fitted.car.oil.temperature.emplace();
    t.kind = Kind::kTemperature;
    t.value = Within(request, "temperature", 0.0, kColdestOnCar, kHottestOnCar);
    t.tolerance = 0.0;
  }
  StanceRunning running;
  if (request.query.contains("engine_speed")) {
    running.engine_speed = Within(request, "engine_speed", 0.0, 0.0, kMostEngine);
  }
  running.road_speed = Within(request, "road_speed", 0.0, 0.0, kMostSpeed);
  const StanceFigures read = FiguresAt(fitted, drive, running);
  Json figures = Json::object();
  for (const StanceFigure& f : read.figures) {
    figures[f.key] = FigureJson(f.figure, read.inputs, f.kind, units, most);
    figures[f.key]["label"] = f.label;
    figures[f.key]["meaning"] = f.meaning;
  }
  return figures;
}

// Where the request wants the axle; the hand wheel's angle becomes rack travel.
StanceDrive DriveOf(const Request& request, const Plain& plain) {
  StanceDrive drive;
  drive.travel = Within(request, "travel", 0.0, -kMostTravel, kMostTravel);
  drive.jounce = {Within(request, "left", 0.0, -kMostTravel, kMostTravel),
                  Within(request, "right", 0.0, -kMostTravel, kMostTravel)};
  if (!request.query.contains("hand_wheel")) return drive;
  const double hand = Within(request, "hand_wheel", 0.0, -kMostHandWheel, kMostHandWheel);
  if (!plain.hand) {
    Refusal r{422, "missing", "the rack's ratio is not known, so no hand-wheel angle",
              "hand_wheel"};
    r.more["missing"] = Paths(plain.fitted, plain.hand_missing);
    throw Refused{std::move(r)};
  }
  drive.travel = std::clamp(plain.hand->Travel(hand), -kMostTravel, kMostTravel);
  return drive;
}

Json StanceJson(const Plain& plain, const Stance& stance) {
  Json j{{"level", LevelKey(stance.level)},
         {"travel", stance.travel},
         {"hand_wheel", plain.hand ? Number(plain.hand->HandAngle(stance.travel)) : Json(nullptr)},
         {"travel_range",
          {{"left", EndJson(plain, Way::kLeft)}, {"right", EndJson(plain, Way::kRight)}}},
         {"reached", stance.clipped.empty()},
         {"why", stance.clipped.empty() ? Json(nullptr) : Json(stance.clipped)}};
  for (const Side side : kSides) {
    const auto& wheel = stance.wheel[Index(side)];
    j["wheels"][std::string(WordOf(side))] = wheel ? WheelJson(*wheel, side) : Json(nullptr);
  }
  j["circle"] = CircleJson(stance.circle);
  j["ackermann"] = Number(stance.ackermann);
  const auto& front = plain.fitted.car.front;
  j["tyre"] = {{"radius", Number(front.tyre_radius)}, {"width", Number(front.tyre_width)}};
  j["car"] = CarJson(plain.fitted);
  j["missing"] = Paths(plain.fitted, stance.missing);
  return j;
}

}  // namespace

Response GetTurn(Workbench& bench, const Request& request) {
  const auto [s, setup] = SetupAsked(bench, request);
  const Plain& plain = setup->InPlainNumbers();
  const Stance stance = StanceAt(plain.fitted, plain.front, DriveOf(request, plain));
  Json j{{"revision", s->head.id}, {"setup", setup->Name()}};
  j.update(StanceJson(plain, stance));
  j.update(WeightJson(plain, request, stance.travel));
  if (request.Get("pm") == "1") j["figures"] = FiguresJson(*s, *setup, request, stance);
  return AnswerOf(j);
}

}  // namespace steerbench::server
