//! The pages of a real shop in a temporary folder, asked through the router.

mod bench;
mod doors;
mod dynos;
mod guards;
mod jobs;
mod jobs_bench;
mod jobs_photos;
mod jobs_way;
mod logs;
mod measure;
mod measure_shop;
mod people;
mod runs;
mod secrets;
mod serving;
mod sign_in;
mod tls;
mod walls;
