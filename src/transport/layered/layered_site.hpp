// SPDX-License-Identifier: Apache-2.0
/// A site with rooms in two layers, as the equations see it. Each layer is a space of its own. The two have the same
/// pressure at the interface between them, which moves as one layer grows and the other shrinks. Openings are shared
/// out by height; a plume carries air from the ambient layer to the layer of gas.
#pragma once

#include <cstddef>
#include <limits>
#include <optional>
#include <span>
#include <string>
#include <vector>

#include "airflow/solver.hpp"
#include "leanside/advanced/airflow.hpp"
#include "leanside/advanced/plumes.hpp"
#include "leanside/advanced/transport.hpp"
#include "leanside/site.hpp"
#include "transport/layered/layer_plan.hpp"

namespace leanside::transport {

/// A layered site with its interfaces where they are at one moment. layered_site.cpp builds it and maps between spaces
/// and layers; layered_shape.cpp moves the interfaces.
class LayeredSite {
 public:
  LayeredSite(const Site& site, const LayerPlan& plan);

  /// The spaces of the original, the ambient layer in the place of each layered room, then the layers of gas.
  const Site& site() const { return expanded_; }
  const Site& written() const { return original_; }
  std::size_t rooms() const { return rooms_.size(); }
  std::size_t ambient_cell(std::size_t room) const { return rooms_[room].ambient; }
  std::size_t gas_cell(std::size_t room) const { return rooms_[room].gas; }
  bool gas_above(std::size_t room) const { return rooms_[room].above; }
  /// The cell that represents a space of the original: its layer of gas, or the space itself.
  std::size_t cell_of(SpaceIndex space) const { return cell_of_[space.value]; }
  bool is_layer(std::size_t cell) const { return cell >= originals_ || cell_of_[cell] != cell; }

  /// The same columns for the expanded site.
  std::vector<Tracer> tracers(std::span<const Tracer> of_original) const;

  /// Puts the interfaces where the layers hold these moles (by cell, at ambient pressure), and fits openings, plumes
  /// and `state` to that. `x`: gas fractions in the first columns, `cells` rows, column-major.
  void shape(SiteState& state, std::span<const double> x, std::size_t cells, std::span<const double> held);
  /// Puts the interfaces where the layers hold these moles, and leaves openings and plumes as they are.
  void keep(std::span<const double> held, const SiteState& state);

  /// Which parts of the site belong together, as shaped.
  const airflow::Parts& parts() const { return parts_; }

  /// Changes a field that was balanced as shaped: what would cross an interface moves it instead. Only a layer at its
  /// thinnest lets it pass.
  void move_interfaces(FlowField& field) const;
  /// mol/s that the layer of gas of a room gains, by a field whose interfaces have not been moved.
  double surplus(const FlowField& field, std::size_t room) const;

  /// Interface height, m above the floor, where the layer of gas holds `moles` at `temperature`.
  double interface_height(std::size_t room, double moles, double temperature) const;
  /// Moles of all of a room, at a temperature.
  double whole(std::size_t room, double temperature) const;
  static constexpr double thinnest = 1e-3;  ///< smallest share of the room that a layer has

  /// What breaks up the layers of a room at this moment: air that sinks through the light layer, or rises through the
  /// heavy one, with more buoyancy than the release. Empty if nothing does. `density` by cell, kg/m3; the interfaces of
  /// the field have been moved.
  std::optional<std::string> broken(std::size_t room, const FlowField& field, std::span<const double> density,
                                    const SiteState& state) const;
  /// Whether anything could: temperatures differ, or other spaces are next to a layered one.
  bool may_break() const { return may_break_; }

  /// A field of the expanded site as one of the original.
  FlowField collapsed(const FlowField& field) const;
  /// Fans as they are in the file: the shares that draw from different layers are added up.
  std::vector<StarvedFan> collapsed(const std::vector<StarvedFan>& pieces) const;
  /// How the far end of the layer of gas of a room follows from its mean and from one release.
  struct FarEndOf {
    FarEnd weight;
    ReleaseIndex release{0};  ///< whose plume arrives least diluted; of weight 0 without one
    /// The fraction of a column there, from its mean in the layer.
    double of(const Tracer& column, double mean) const;
  };
  /// `state`: rates and temperatures; `x` as in shape(); `share` of the room that the layer of gas fills.
  FarEndOf far_end(std::size_t room, const SiteState& state, std::span<const double> x, std::size_t cells,
                   double share) const;
  SpaceIndex original(SpaceIndex cell) const;
  /// Whether it is part of an airway of the original: what joins the layers of a room is not.
  bool is_written(AirwayIndex piece) const { return piece_of_[piece.value] < original_.airways.size(); }
  /// Of a part of an airway of the original.
  AirwayIndex original(AirwayIndex piece) const { return {piece_of_[piece.value]}; }
  /// Both layers of a room as they are, the far end as the mean; `x` are fractions by cell, `gas` the cell to take
  /// those of its gas layer from.
  LayerState layer_state(std::size_t room, const FractionField& x, std::size_t gas) const;

 private:
  static constexpr std::size_t no_room = std::numeric_limits<std::size_t>::max();
  struct Room {
    std::size_t ambient = 0, gas = 0;  ///< cells
    bool above = true;
    double floor = 0.0, height = 0.0, volume = 0.0, area = 0.0;
    double plume_constant = 0.0;
    double diffusivity = 0.0;                            ///< m2/s at 25 degC and 1 atm
    std::size_t interface = 0, plume = 0, overturn = 0;  ///< airways
    std::vector<std::size_t> releases;
    double interface_height = 0.0;  ///< m above the floor, as shaped
    double gas_share = 0.0;         ///< of the volume, as shaped
  };
  /// One part of an airway of the original: between these layers of its sides.
  struct Piece {
    std::size_t parent = 0, airway = 0;
    std::size_t first_room = no_room, second_room = no_room;
    bool first_gas = false, second_gas = false;
  };
  void add_room(const LayerPlan::Room& plan);
  void split_airway(std::size_t index);
  void repeat_events();
  double share_at(const Room& room, bool gas, std::optional<double> z) const;
  void shape_piece(const Piece& piece, SiteState& state);
  void shape_plume(const Room& room, SiteState& state, std::span<const double> x, std::size_t cells);
  double all_gas(std::size_t cell, std::span<const double> x, std::size_t cells) const;
  double drawn_over_pool(const Release& release, const SiteState& state, std::size_t index) const;
  double density_of(std::size_t cell, const SiteState& state, std::span<const double> x, std::size_t cells) const;

  const Site& original_;
  Site expanded_;
  std::size_t originals_ = 0;
  std::vector<Room> rooms_;
  std::vector<std::size_t> cell_of_;   ///< by space of the original
  std::vector<std::size_t> room_of_;   ///< by space of the original, or no_room
  std::vector<Piece> pieces_;          ///< of airways that touch a layered room
  std::vector<std::size_t> piece_of_;  ///< by airway of the expanded site: that of the original
  airflow::Parts parts_;
  bool may_break_ = false;
};

/// Lets an airway lead from `first` to `second`.
void set_sides(Airway& airway, Side first, Side second);

}  // namespace leanside::transport
