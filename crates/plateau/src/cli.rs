//! The flags, in the words of the trade.

use clap::builder::styling::{AnsiColor, Styles};
use clap::{Args, Parser, Subcommand, ValueEnum};
use std::net::SocketAddr;
use std::path::PathBuf;

/// What was said of an engine, what is in it, and what it does.
#[derive(Debug, Parser)]
#[command(name = "plateau", version, max_term_width = 100, styles = STYLES)]
#[command(disable_help_subcommand = true, args_override_self = true)]
#[command(after_help = "Exit codes: 0 done, 1 an error, 2 questions about a log are open.")]
pub(crate) struct Cli {
    #[command(subcommand)]
    pub(crate) verb: Verb,
}

const STYLES: Styles = Styles::styled()
    .header(AnsiColor::Blue.on_default().bold())
    .usage(AnsiColor::Blue.on_default().bold())
    .literal(AnsiColor::Cyan.on_default());

/// What to do.
#[derive(Debug, Subcommand)]
pub(crate) enum Verb {
    /// Read the logs of one run and say what the engine does over its band of use
    Pull(PullArgs),
    /// Take the logs of one run into the shop
    Keep(KeepArgs),
    /// List the runs of the shop
    Runs(RunsArgs),
    /// Check that everything the shop keeps is there and unharmed
    Check(CheckArgs),
    /// Write a backup of the whole shop into one file, also while it is in use
    Backup(BackupArgs),
    /// Make a shop's folder from a backup, in an empty place
    Restore(RestoreArgs),
    /// The register of instruments that readings are made with
    Instruments(crate::verbs::instruments::InstrumentsArgs),
    /// The jobs: claims, findings, promises, sheets, and what is still missing
    Job(crate::verbs::job::JobArgs),
    /// What an engine is: the sheet of its build file
    Engine(crate::verbs::engine::EngineArgs),
    /// What an engine will do: torque and power over speed, computed from its build file
    Predict(crate::verbs::predict::PredictArgs),
    /// Open the shop's pages, on this machine or to the tablets of the shop
    Serve(ServeArgs),
    /// Who may sign in, and what each may do
    People(crate::verbs::people::PeopleArgs),
    /// Take in each new log of a folder as soon as its writer has finished
    Watch(WatchArgs),
    /// What is known of a dyno and of how it writes its logs
    Dyno(DynoArgs),
    /// The guard rules that logs are judged by
    Guards(GuardsArgs),
}

/// Where the shop is.
#[derive(Debug, Args)]
pub(crate) struct ShopArgs {
    /// Folder of the shop [default: the user's data folder]
    #[arg(long, value_name = "DIR", env = "PLATEAU_SHOP")]
    pub(crate) shop: Option<PathBuf>,
}

/// Units for showing.
#[derive(Debug, Clone, Copy, PartialEq, Eq, ValueEnum)]
pub(crate) enum UnitSystem {
    /// N·m, kW, kPa, °C
    Metric,
    /// lb-ft, hp, inHg, °F
    Us,
}

/// Paper of the sheet.
#[derive(Debug, Clone, Copy, PartialEq, Eq, ValueEnum)]
pub(crate) enum PaperSize {
    /// 210 × 297 mm
    A4,
    /// 8.5 × 11 in
    Letter,
}

impl From<UnitSystem> for quantity::UnitSystem {
    fn from(system: UnitSystem) -> Self {
        match system {
            UnitSystem::Metric => Self::Metric,
            UnitSystem::Us => Self::UsCustomary,
        }
    }
}

/// `plateau pull`.
#[derive(Debug, Args)]
pub(crate) struct PullArgs {
    /// Logs of the run, in order: text tables or MDF 4
    #[arg(required = true, value_name = "LOG")]
    pub(crate) logs: Vec<PathBuf>,
    /// What is known of the dyno: a TOML file, or the key of a dyno in the shop
    #[arg(long, value_name = "FILE.toml|KEY")]
    pub(crate) dyno: Option<String>,
    /// Guard rules put over those that come with the tool, instead of the shop's
    #[arg(long, value_name = "FILE.toml")]
    pub(crate) guards: Option<PathBuf>,
    #[command(flatten)]
    pub(crate) shop: ShopArgs,
    #[command(flatten)]
    pub(crate) stated: StatedArgs,
    #[command(flatten)]
    pub(crate) about_log: LogArgs,
    #[command(flatten)]
    pub(crate) compare: CompareArgs,
    #[command(flatten)]
    pub(crate) output: OutputArgs,
}

/// `plateau keep`.
#[derive(Debug, Args)]
pub(crate) struct KeepArgs {
    /// Logs of the run, in order
    #[arg(required = true, value_name = "LOG")]
    pub(crate) logs: Vec<PathBuf>,
    #[command(flatten)]
    pub(crate) shop: ShopArgs,
    /// Key of the dyno in the shop
    #[arg(long, value_name = "KEY")]
    pub(crate) dyno: Option<String>,
    /// What to call the run [default: the names of the logs]
    #[arg(long)]
    pub(crate) title: Option<String>,
    /// Who brings the logs [default: the user's name on this machine]
    #[arg(long, value_name = "NAME")]
    pub(crate) author: Option<String>,
    /// Compare it with this run of the shop
    #[arg(long, value_name = "NUMBER")]
    pub(crate) against: Option<i64>,
    /// Take the logs in although a run has them already
    #[arg(long)]
    pub(crate) again: bool,
    /// Say nothing and end well if a run has the logs already
    #[arg(long, conflicts_with = "again")]
    pub(crate) if_new: bool,
    #[command(flatten)]
    pub(crate) stated: StatedArgs,
    #[command(flatten)]
    pub(crate) about_log: LogArgs,
}

/// `plateau runs`.
#[derive(Debug, Args)]
pub(crate) struct RunsArgs {
    #[command(flatten)]
    pub(crate) shop: ShopArgs,
    /// Units for showing [default: the shop's]
    #[arg(long, value_enum)]
    pub(crate) units: Option<UnitSystem>,
    /// One JSON object
    #[arg(long)]
    pub(crate) json: bool,
}

/// `plateau check`.
#[derive(Debug, Args)]
pub(crate) struct CheckArgs {
    #[command(flatten)]
    pub(crate) shop: ShopArgs,
    /// One JSON object
    #[arg(long)]
    pub(crate) json: bool,
}

/// `plateau backup`.
#[derive(Debug, Args)]
pub(crate) struct BackupArgs {
    /// The backup, a zip; in a folder that is there it gets a name with day and time
    #[arg(value_name = "FILE.zip|FOLDER")]
    pub(crate) file: PathBuf,
    #[command(flatten)]
    pub(crate) shop: ShopArgs,
    /// Take the place of a file that is there already, once the new one is whole
    #[arg(long)]
    pub(crate) replace: bool,
    /// One JSON object
    #[arg(long)]
    pub(crate) json: bool,
}

/// `plateau restore`.
#[derive(Debug, Args)]
pub(crate) struct RestoreArgs {
    /// The backup
    #[arg(value_name = "FILE.zip")]
    pub(crate) file: PathBuf,
    /// Folder of the shop to be; empty, or not there yet
    #[arg(long, value_name = "DIR")]
    pub(crate) into: PathBuf,
    /// One JSON object
    #[arg(long)]
    pub(crate) json: bool,
}

/// `plateau serve`.
#[derive(Debug, Args)]
pub(crate) struct ServeArgs {
    #[command(flatten)]
    pub(crate) shop: ShopArgs,
    /// Address and port; port 0 takes a free one. An address that other machines can reach, such as
    /// 0.0.0.0:7340, needs accounts and is always encrypted
    #[arg(long, value_name = "ADDRESS:PORT", default_value = "127.0.0.1:7340")]
    pub(crate) listen: SocketAddr,
    /// Another port, on 127.0.0.1
    #[arg(long, conflicts_with = "listen")]
    pub(crate) port: Option<u16>,
    /// A name under which the shop is reached, beside this machine's own
    #[arg(long, value_name = "NAME")]
    pub(crate) name: Vec<String>,
    /// The shop's own certificate, PEM [default: one made at the first start, in the shop's folder]
    #[arg(long, value_name = "FILE.pem", requires = "key")]
    pub(crate) certificate: Option<PathBuf>,
    /// Private key of the certificate, PEM
    #[arg(long, value_name = "FILE.pem", requires = "certificate")]
    pub(crate) key: Option<PathBuf>,
    /// Make another certificate: this machine has another name or address, or its key was seen
    #[arg(long, conflicts_with = "certificate")]
    pub(crate) new_certificate: bool,
    /// Open the pages in the browser
    #[arg(long)]
    pub(crate) open: bool,
}

/// `plateau watch`.
#[derive(Debug, Args)]
pub(crate) struct WatchArgs {
    /// Folder into which the dyno writes its logs; nothing is ever written there
    #[arg(value_name = "FOLDER")]
    pub(crate) folder: PathBuf,
    #[command(flatten)]
    pub(crate) shop: ShopArgs,
    /// Key of the dyno in the shop
    #[arg(long, value_name = "KEY")]
    pub(crate) dyno: Option<String>,
    /// Who the runs are said to come from
    #[arg(long, value_name = "NAME", default_value = "watch")]
    pub(crate) author: String,
    /// How long a log must stay unchanged before it counts as finished, s
    #[arg(long, value_name = "SECONDS", default_value_t = 3.0, value_parser = seconds)]
    pub(crate) settle: f64,
    /// Look once, take in what is finished, and end
    #[arg(long)]
    pub(crate) once: bool,
}

/// `plateau dyno`.
#[derive(Debug, Args)]
pub(crate) struct DynoArgs {
    #[command(subcommand)]
    pub(crate) verb: DynoVerb,
}

/// What to do about a dyno.
#[derive(Debug, Subcommand)]
pub(crate) enum DynoVerb {
    /// Show what the shop knows of its dynos, or of one
    Show {
        /// Key of a dyno
        key: Option<String>,
        #[command(flatten)]
        shop: ShopArgs,
    },
    /// Write what is known of a dyno into the shop: from a file, or from a log and the answers about it
    Learn {
        /// Key of the dyno: lower-case letters, digits, - and _
        key: String,
        #[command(flatten)]
        shop: ShopArgs,
        /// Its TOML file
        #[arg(long, value_name = "FILE.toml", required_unless_present_any = ["log", "name"])]
        #[arg(conflicts_with_all = ["log", "unit", "role"])]
        from: Option<PathBuf>,
        /// A log that it wrote
        #[arg(long, value_name = "LOG")]
        log: Option<PathBuf>,
        /// Name of the dyno
        #[arg(long)]
        name: Option<String>,
        #[command(flatten)]
        about_log: LogArgs,
    },
}

/// `plateau guards`.
#[derive(Debug, Args)]
pub(crate) struct GuardsArgs {
    #[command(subcommand)]
    pub(crate) verb: GuardsVerb,
}

/// What to do about guard rules.
#[derive(Debug, Subcommand)]
pub(crate) enum GuardsVerb {
    /// Print the rules in force as TOML, and which of them are the shop's own
    Show {
        #[command(flatten)]
        shop: ShopArgs,
    },
    /// Keep a file of guard rules as the shop's own, over those that come with the tool
    Set {
        /// The rules; an empty file leaves those that come with the tool
        #[arg(value_name = "FILE.toml")]
        file: PathBuf,
        #[command(flatten)]
        shop: ShopArgs,
    },
}

/// What is stated about a run. Texts are taken as typed; units are needed.
#[derive(Debug, Args, Default)]
#[command(next_help_heading = "Statements about the run")]
pub(crate) struct StatedArgs {
    /// Correction: observed, sae_j1349, sae_j1349_unrounded, sae_j1349_known_friction, sae_j607,
    /// sae_j607_with_friction, iso1585, din70020, jis_d1001 [default: sae_j1349]
    #[arg(long, value_name = "KEY")]
    pub(crate) standard: Option<String>,
    /// Band in which the owner will use the engine, rpm
    #[arg(long, value_name = "3000-6200")]
    pub(crate) band: Option<String>,
    /// Station pressure, when the log has none: "29.2 inHg"
    #[arg(long, value_name = "PRESSURE")]
    pub(crate) baro: Option<String>,
    /// Intake air temperature: "76 F"
    #[arg(long, value_name = "TEMPERATURE")]
    pub(crate) air: Option<String>,
    /// Relative humidity: "45 %"
    #[arg(long, value_name = "SHARE")]
    pub(crate) humidity: Option<String>,
    /// Vapour pressure, instead of the humidity: "11 mbar"
    #[arg(long, value_name = "PRESSURE", conflicts_with = "humidity")]
    pub(crate) vapour: Option<String>,
    /// Height of the cell above the sea, to check the barometer: "300 m"
    #[arg(long, value_name = "LENGTH")]
    pub(crate) altitude: Option<String>,
    /// How manifold pressure answers the barometer: follows, held or unknown
    #[arg(long, value_name = "WORD")]
    pub(crate) induction: Option<String>,
    /// Moment of inertia between load cell and crank: "0.4 kg·m²"
    #[arg(long, value_name = "INERTIA")]
    pub(crate) inertia: Option<String>,
    /// Torque arm, when the log gives a force: "0.7162 m"
    #[arg(long, value_name = "LENGTH")]
    pub(crate) arm: Option<String>,
    /// Swept volume: "2.4 L"
    #[arg(long, value_name = "VOLUME")]
    pub(crate) displacement: Option<String>,
    /// Stroke: "86 mm"
    #[arg(long, value_name = "LENGTH")]
    pub(crate) stroke: Option<String>,
    /// Number of cylinders
    #[arg(long, value_name = "N")]
    pub(crate) cylinders: Option<String>,
    /// Two-stroke engine
    #[arg(long)]
    pub(crate) two_stroke: bool,
    /// Friction mean effective pressure, for the forms that need it: "1.6 bar"
    #[arg(long, value_name = "PRESSURE")]
    pub(crate) friction: Option<String>,
    /// Fuel in words: "93 AKI pump"
    #[arg(long, value_name = "TEXT")]
    pub(crate) fuel: Option<String>,
    /// Stoichiometric air–fuel ratio of the fuel: 14.7
    #[arg(long, value_name = "RATIO")]
    pub(crate) stoich: Option<String>,
    /// Density of the fuel: "745 kg/m³"
    #[arg(long, value_name = "DENSITY")]
    pub(crate) density: Option<String>,
    /// Blower speed over crank speed
    #[arg(long, value_name = "RATIO")]
    pub(crate) blower_ratio: Option<String>,
    /// Use profile for the use-weighted mean: street, tow, hill_climb, drag, marine
    #[arg(long = "use", value_name = "PROFILE")]
    pub(crate) use_profile: Option<String>,
    /// Time to accelerate an inertia at the crank between two speeds: "0.5 kg·m² 3000-6000"
    #[arg(long, value_name = "INERTIA FROM-TO")]
    pub(crate) accelerate: Option<String>,
    /// Smoothing half width, rpm [default: 75]
    #[arg(long, value_name = "RPM")]
    pub(crate) smooth: Option<String>,
    /// Share of best torque that counts as plateau [default: 95 %]
    #[arg(long, value_name = "SHARE")]
    pub(crate) plateau: Option<String>,
    /// Marine or aircraft use
    #[arg(long)]
    pub(crate) marine: bool,
    /// Give the power peak beyond the data when power was still climbing
    #[arg(long)]
    pub(crate) extrapolate: bool,
    /// Leave a pull out, with the reason: "2=throttle not full"
    #[arg(long, value_name = "N=REASON")]
    pub(crate) leave_out: Vec<String>,
    /// Delay of a channel behind the engine: "lambda_1=0.15 s"
    #[arg(long, value_name = "ROLE=TIME")]
    pub(crate) lag: Vec<String>,
}

/// Answers about how the log is written.
#[derive(Debug, Args, Default)]
#[command(next_help_heading = "Answers about the log")]
pub(crate) struct LogArgs {
    /// Unit of a column: "Baro=inHg"
    #[arg(long, value_name = "COLUMN=UNIT")]
    pub(crate) unit: Vec<String>,
    /// What a column stands for: "TQ 1=torque", or "TQ 1=none"
    #[arg(long, value_name = "COLUMN=ROLE")]
    pub(crate) role: Vec<String>,
    /// Decimal mark of the numbers: . or ,
    #[arg(long, value_name = "MARK")]
    pub(crate) decimal: Option<char>,
    /// Rows per second, when there is no time column
    #[arg(long, value_name = "HZ")]
    pub(crate) rate: Option<f64>,
    /// Order of day and month in dates: dmy, mdy or ymd
    #[arg(long, value_name = "ORDER", value_parser = ["dmy", "mdy", "ymd"])]
    pub(crate) date_order: Option<String>,
    /// Go on without rows that cannot be read; they are counted and listed
    #[arg(long)]
    pub(crate) leave_out_bad_rows: bool,
}

/// Against what.
#[derive(Debug, Args, Default)]
#[command(next_help_heading = "Comparison")]
pub(crate) struct CompareArgs {
    /// The earlier run: logs, or the number of a run in the shop
    #[arg(long, value_name = "LOG|NUMBER", num_args = 1..)]
    pub(crate) against: Vec<String>,
    /// The earlier build run once more afterwards (A-B-A): logs, or the number of a run
    #[arg(long, value_name = "LOG|NUMBER", num_args = 1.., requires = "against")]
    pub(crate) back_to: Vec<String>,
}

/// What to write.
#[derive(Debug, Args)]
#[command(next_help_heading = "Output")]
pub(crate) struct OutputArgs {
    /// Units for showing
    #[arg(long, value_enum, default_value = "metric")]
    pub(crate) units: UnitSystem,
    /// One JSON object instead of the text
    #[arg(long)]
    pub(crate) json: bool,
    /// Write the picture as SVG
    #[arg(long, value_name = "FILE")]
    pub(crate) svg: Option<PathBuf>,
    /// Write the one-page sheet as PDF
    #[arg(long, value_name = "FILE")]
    pub(crate) pdf: Option<PathBuf>,
    /// Paper of the sheet [default: a4 with metric units, letter with us units]
    #[arg(long, value_enum)]
    pub(crate) paper: Option<PaperSize>,
    /// Write the curve as CSV
    #[arg(long, value_name = "FILE")]
    pub(crate) csv: Option<PathBuf>,
    /// Write what was learned about the dyno's logs, for --dyno next time
    #[arg(long, value_name = "FILE.toml")]
    pub(crate) remember: Option<PathBuf>,
}

fn seconds(text: &str) -> Result<f64, String> {
    let value: f64 = text.parse().map_err(|_| "a number of seconds is expected".to_owned())?;
    if (0.0..=3600.0).contains(&value) { Ok(value) } else { Err("between 0 and 3600 s".to_owned()) }
}
