//! Coping walls against closed forms, published figures and brute force.
mod build;
mod drafts;
mod frustum;
mod metal;
